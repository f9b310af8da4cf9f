"""Ground-fault protection of one circuit's outlets: which are asked for, which have it, which cannot be told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.points import Point, ground_fault_asked, point_of
from deadfront.circuits.rules.protect.tell import (
    Truth,
    all_of,
    any_of,
    device_gives,
    distinct,
    gives,
    in_force,
    room_words,
    verdict,
)
from deadfront.circuits.rules.protect.work import added_outlets, line_to_neutral, nominal_volts
from deadfront.job.panel_things import Breaker, Circuit, Outlet
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing

KIND = "ground fault"


@dataclass(frozen=True, slots=True)
class Judged:
    """One outlet, or the outlets of one room, and what was found of it.

    Args:
        name: What it is called: the outlet, or the room.
        outcome: Of protection asked for against protection given.
        breaker_only: Its volts or amperes leave no device but a breaker.
        missing: Facts that would tell.
    """

    name: Msg
    outcome: Outcome
    breaker_only: bool = False
    missing: tuple[Missing, ...] = ()


def outlet_given(breaker: Breaker | None, circuit: Circuit | None, outlet: Outlet, kind: str) -> Truth:
    """Whether an outlet has a kind of protection: by its breaker, a device at or ahead of it, the first outlet."""
    own = device_gives(outlet.protection, kind)
    first = device_gives(circuit.first_outlet, kind) if circuit is not None else None
    given = (gives(breaker, kind), own, first)
    if True in given:
        return True
    return False if given[0] is False and own is False else None


def given_missing(facts: Facts, circuit: Circuit, breaker: Breaker | None, outlet: Outlet | None) -> Iterator[Missing]:
    """The facts that would tell whether protection is given."""
    if breaker is None:
        yield from facts.missing(circuit, "breaker")
    else:
        yield from facts.missing(breaker, "protection")
    yield from facts.missing(circuit, "first_outlet") if outlet is None else facts.missing(outlet, "protection")


def new_circuit(facts: Facts, circuit: Circuit, breaker: Breaker | None) -> Iterator[Judged]:
    """All outlets of a new circuit: those listed, and the rooms whose outlets are not."""
    listed = facts.outlets_on.get(circuit.id, ())
    volts, rating_a = _supply(facts, circuit, breaker)
    for outlet in listed:
        yield judged_outlet(facts, circuit, breaker, outlet, point_of(outlet, volts, rating_a))
    if listed and facts.at.house.complete.outlets == "yes":
        return
    covered = _covered(circuit, listed)
    yield from _unlisted(facts, circuit, breaker, tuple(r for r in circuit.rooms if r not in covered), bool(listed))


def _covered(circuit: Circuit, listed: tuple[Outlet, ...]) -> set[str | None]:
    """Rooms whose outlets count as listed: a receptacle is, or the circuit has none, or supplies one thing alone."""
    if circuit.purpose == "individual" or (circuit.outlet_kinds and "receptacles" not in circuit.outlet_kinds):
        return {each.room for each in listed}
    return {each.room for each in listed if each.kind in (None, "receptacle")}


def extension(facts: Facts, circuit: Circuit, breaker: Breaker | None) -> Iterator[Judged]:
    """The outlets that the work adds to a circuit that was there; those that were there stay as they are."""
    listed = added_outlets(facts, circuit)
    volts, rating_a = _supply(facts, circuit, breaker)
    for outlet in listed:
        yield judged_outlet(facts, circuit, breaker, outlet, point_of(outlet, volts, rating_a))
    if (circuit.outlets_added or 0) > len(listed):
        yield _added(facts, circuit, breaker)
    elif circuit.outlets_added is None and not listed and circuit.extended_ft is None:
        name = facts.name_of(circuit, "thing.by_id")
        yield _range(facts, circuit, breaker, name, None, facts.missing(circuit, "outlets_added"))


def judged_outlet(
    facts: Facts, circuit: Circuit | None, breaker: Breaker | None, outlet: Outlet, point: Point
) -> Judged:
    """One listed outlet held against the rule."""
    asked = ground_fault_asked(facts.book, point)
    given = outlet_given(breaker, circuit, outlet, KIND)
    outcome = verdict(asked.truth, given)
    lacking: tuple[Missing, ...] = ()
    if outcome is Outcome.CANNOT_TELL:
        lacking = _asked_missing(facts, outlet, asked.lacking)
        if circuit is None:
            lacking += facts.missing(outlet, "circuit", "protection")
        elif given is None:
            lacking += tuple(given_missing(facts, circuit, breaker, outlet))
    return Judged(facts.name_of(outlet, "thing.by_id"), outcome, _breaker_only(point), distinct(lacking))


def _asked_missing(facts: Facts, outlet: Outlet, fields: tuple[str, ...]) -> tuple[Missing, ...]:
    """Fields of an outlet that would tell, with words also where a room is known but too wide a word."""
    found = []
    for field in fields:
        what = said(f"todo.circuits.{field}", thing=facts.name_of(outlet, "thing.by_id"))
        found.append(Missing(facts.at.path(outlet, field), what, said(f"todo.how.circuits.{field}")))
    return tuple(found)


def _unlisted(
    facts: Facts, circuit: Circuit, breaker: Breaker | None, rooms: tuple[str, ...], some_listed: bool
) -> Iterator[Judged]:
    """Outlets known by the rooms of their circuit alone: a demand is sure only where a receptacle must stand there."""
    name = facts.name_of(circuit, "thing.by_id")
    if not circuit.rooms:
        if not some_listed or facts.at.house.complete.outlets != "yes":
            yield _range(facts, circuit, breaker, name, None, facts.missing(circuit, "rooms", "outlet_kinds"))
        return
    kinds = circuit.outlet_kinds
    if not kinds:
        asked: Truth = (
            None if any(_room_asked(facts, circuit, breaker, room)[0] is not False for room in rooms) else (False)
        )
        yield _range(facts, circuit, breaker, name, asked, facts.missing(circuit, "outlet_kinds"))
        return
    for room in rooms:
        truth, outlets = _room_asked(facts, circuit, breaker, room)
        one_room = len(circuit.rooms) == 1
        if "receptacles" not in kinds:
            truth = False
        elif truth is True and not (one_room or kinds == ("receptacles",)):
            truth, outlets = None, list_outlets(facts)
        if _crawl_space_light(facts, circuit, room) and truth is not True:
            truth, outlets = (True, ()) if one_room else (None, list_outlets(facts))
        truth = _settled(facts, truth, outlets)
        yield _range(facts, circuit, breaker, room_words(room), truth, outlets)


def _added(facts: Facts, circuit: Circuit, breaker: Breaker | None) -> Judged:
    """Outlets the work adds that are not listed: a demand is sure only where every room of the circuit asks for it."""
    name, kinds = facts.name_of(circuit, "thing.by_id"), circuit.outlet_kinds
    asked = [_room_asked(facts, circuit, breaker, room)[0] for room in circuit.rooms]
    if kinds and "receptacles" not in kinds:
        asked = [False for _ in asked]
    lights = any(_crawl_space_light(facts, circuit, room) for room in circuit.rooms)
    if not asked or not kinds:
        truth: Truth = None if not asked or any(each is not False for each in asked) else False
    elif kinds == ("receptacles",):
        truth = True if all_of(asked) is True else False if any_of(asked) is False else None
    else:
        truth = None if lights or any(each is not False for each in asked) else False
    lacking = (*facts.missing(circuit, "rooms", "outlet_kinds"), *list_outlets(facts))
    if circuit.rooms:
        lacking += tuple(m for room in circuit.rooms for m in _room_asked(facts, circuit, breaker, room)[1])
    return _range(facts, circuit, breaker, name, _settled(facts, truth, lacking), lacking)


def _settled(facts: Facts, truth: Truth, lacking: tuple[Missing, ...]) -> Truth:
    """Where all outlets are said to be listed and these are not, what may be asked for is taken to be asked for."""
    return True if truth is None and not lacking and facts.at.house.complete.outlets == "yes" else truth


def _crawl_space_light(facts: Facts, circuit: Circuit, room: str) -> bool:
    """A light in a crawl space, which the edition asks it for."""
    return (
        room == "crawl space"
        and "lighting" in circuit.outlet_kinds
        and in_force(facts.book, "ground_fault_crawl_space_lighting")
    )


def _room_asked(
    facts: Facts, circuit: Circuit, breaker: Breaker | None, room: str
) -> tuple[Truth, tuple[Missing, ...]]:
    volts, rating_a = _supply(facts, circuit, breaker)
    asked = ground_fault_asked(facts.book, Point("receptacle", room, volts, rating_a))
    lacking: tuple[Missing, ...] = ()
    if "volts" in asked.lacking:
        lacking += line_to_neutral(facts, circuit, breaker).lacking
    if "rating_a" in asked.lacking and breaker is not None:
        lacking += facts.missing(breaker, "rating_a")
    if set(asked.lacking) - {"volts", "rating_a"}:
        lacking += list_outlets(facts)
    return asked.truth, lacking


def _range(
    facts: Facts, circuit: Circuit, breaker: Breaker | None, name: Msg, asked: Truth, lacking: tuple[Missing, ...]
) -> Judged:
    first = device_gives(circuit.first_outlet, KIND)
    by_breaker = gives(breaker, KIND)
    given: Truth = True if True in (by_breaker, first) else False if (by_breaker, first) == (False, False) else None
    outcome = verdict(asked, given)
    if outcome is not Outcome.CANNOT_TELL:
        return Judged(name, outcome, _breaker_only_volts(*_supply(facts, circuit, breaker)))
    more = tuple(given_missing(facts, circuit, breaker, None)) if given is None else ()
    return Judged(name, outcome, False, distinct((*lacking, *more)))


def list_outlets(facts: Facts) -> tuple[Missing, ...]:
    """All outlets of the circuits in question are to be listed; nothing to find where they are said to be."""
    if facts.at.house.complete.outlets == "yes":
        return ()
    what, how = said("todo.circuits.outlets"), said("todo.how.circuits.outlets")
    return (Missing("before/complete.outlets", what, how),)


def _supply(facts: Facts, circuit: Circuit, breaker: Breaker | None) -> tuple[Decimal | None, Decimal | None]:
    """Volts and breaker rating of a circuit [V, A]."""
    volts = nominal_volts(line_to_neutral(facts, circuit, breaker).truth)
    return volts, breaker.rating_a if breaker is not None else None


def _breaker_only(point: Point) -> bool:
    return _breaker_only_volts(point.volts, point.rating_a)


def _breaker_only_volts(volts: Decimal | None, rating_a: Decimal | None) -> bool:
    """No receptacle device is made for it: over 125 V or over 20 A (common practice)."""
    return (volts or 0) > 130 or (rating_a or 0) > 20
