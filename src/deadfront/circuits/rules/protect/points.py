"""Whether one receptacle or lighting outlet is asked to have ground-fault protection, by edition and place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any, NamedTuple

from deadfront.circuits.rules.protect.tell import Truth, all_of, any_of, in_force
from deadfront.codebook.book import Codebook
from deadfront.job.panel_things import Outlet

UPTO_125_V = Decimal(130)
UPTO_250_V = Decimal(250)


@dataclass(frozen=True, slots=True)
class Point:
    """One outlet by what the rules ask of it; None is not known.

    Args:
        kind: receptacle, lighting, hard-wired or switch.
        room: Room of the job file.
        volts: Of the outlet [V].
        rating_a: Of the receptacle, else of its breaker [A].
        at_counter, near_sink, near_tub, damp: As in Outlet.
        exempt: Named exception that applies to it.
        doorway: A cord to that sink or tub would pass a doorway.
    """

    kind: str | None
    room: str | None
    volts: Decimal | None
    rating_a: Decimal | None
    at_counter: bool | None = None
    near_sink: bool | None = None
    near_tub: bool | None = None
    damp: bool | None = None
    exempt: str | None = None
    doorway: bool | None = None


class Asked(NamedTuple):
    """Whether protection is asked for, and the fields of the outlet that would tell where it is not known."""

    truth: Truth
    lacking: tuple[str, ...] = ()


def point_of(outlet: Outlet, volts: Decimal | None, rating_a: Decimal | None) -> Point:
    """An outlet as a Point; its circuit's volts and rating stand in for its own."""
    return Point(
        outlet.kind, outlet.room, outlet.volts or volts, outlet.rating_a or rating_a, outlet.at_counter,
        outlet.within_6ft_of_sink, outlet.within_6ft_of_tub, outlet.damp, outlet.exempt,
        outlet.through_doorway,
    )  # fmt: skip


@lru_cache(maxsize=4096)
def ground_fault_asked(book: Codebook, point: Point) -> Asked:
    """Whether 210.8 asks for ground-fault protection of this outlet in a dwelling.

    Hard-wired outlets are judged by the rules on appliances and on outdoor equipment. System: not over 150 V to
    ground, as every system of a dwelling here.
    Source: rule ground_fault_receptacles of the code book; where no sink, tub or damp place is entered for a room
    that has none as a rule, it is taken to have none (common practice).
    """
    if point.kind is None:
        return Asked(None, ("kind",))
    if point.kind == "lighting":
        return _lighting(book, point)
    if point.kind != "receptacle" or not in_force(book, "ground_fault_receptacles"):
        return Asked(False)
    params = book.rule("ground_fault_receptacles").params
    if point.exempt in _words(params["exempt"]):
        return Asked(False)
    facts = (*_electrical(params, point), ("", *_place(params, point)))
    truth = all_of(each[1] for each in facts)
    if truth is not None:
        return Asked(truth)
    return Asked(None, tuple(field for _, known, *fields in facts if known is None for field in fields))


def _lighting(book: Codebook, point: Point) -> Asked:
    if not in_force(book, "ground_fault_crawl_space_lighting"):
        return Asked(False)
    if point.room is None:
        return Asked(None, ("room",))
    upto_v: Any = book.rule("ground_fault_crawl_space_lighting").params["upto_v"]
    if point.room != "crawl space" or (point.volts or 0) > upto_v:
        return Asked(False)
    return Asked(True) if point.volts else Asked(None, ("volts",))


def _electrical(params: Any, point: Point) -> Iterator[tuple[str, Truth, str]]:
    """Volts and amperes within the rule: 125 V and 20 A, or 125 to 250 V of any rating."""
    limit = UPTO_250_V if params["any_voltage"] else UPTO_125_V
    yield "", None if point.volts is None and not params["any_voltage"] else (point.volts or 0) <= limit, "volts"
    upto = params["rating_upto_a"]
    if upto:
        yield "", None if point.rating_a is None else point.rating_a <= upto, "rating_a"


def _place(params: Any, point: Point) -> tuple[Any, ...]:
    """Whether the place is listed, and the fields that would tell."""
    found = tuple(_places(params, point))
    truth = any_of(truth for _, truth in found)
    return (truth, *(field for field, each in found if each is None)) if truth is None else (truth,)


def _places(params: Any, point: Point) -> Iterator[tuple[str, Truth]]:
    room, rooms = point.room, _words(params["rooms"])
    yield "room", None if room is None or room in _words(params["maybe_rooms"]) else room in rooms
    food = params["food_areas"] and (point.at_counter or room in _words(params["sink_rooms"]))
    if room == "kitchen" or food:
        yield "at_counter", point.at_counter
    if params["damp"]:
        yield "damp", _near(point.damp, room, _words(params["damp_rooms"]))
    if params["doorway_ends_path"] and point.doorway:
        return
    yield "within_6ft_of_sink", _near(point.near_sink, room, _words(params["sink_rooms"]))
    yield "within_6ft_of_tub", _near(point.near_tub, room, _words(params["tub_rooms"]))


def _near(entered: bool | None, room: str | None, asked_in: tuple[str, ...]) -> Truth:
    """As entered; where it is not, unknown in rooms that may have one, else taken as no."""
    return entered if entered is not None else None if room is None or room in asked_in else False


def _words(value: Any) -> tuple[str, ...]:
    return value if isinstance(value, tuple) else ()
