"""The one-line of a house, whole: tree, places, marks, paper."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.documents import heads
from deadfront.documents.catalog import Catalog
from deadfront.documents.circuit_sheets.common import place_name
from deadfront.documents.one_line.drawn import boxes_of, group_of, wires_of
from deadfront.documents.one_line.layout import Laid, Nudges, laid_out
from deadfront.documents.one_line.marks import Mark, Words
from deadfront.documents.one_line.page import Below, Drawing, on_paper
from deadfront.documents.one_line.told import Telling
from deadfront.documents.one_line.tree import tree_of
from deadfront.job.house import HouseAt
from deadfront.job.thing import Thing
from deadfront.msg import said
from deadfront.results.circuits import CircuitsResult
from deadfront.topology.network import Network
from deadfront.worksheet.sheet import SheetHead

LEGEND = ("transformer", "point", "meter", "breaker", "disconnect", "fused_disconnect", "transfer", "isolation",
          "generator", "inverter", "array", "cells", "vehicle", "inlet", "evse", "load", "circuits", "reference",
          "unknown", "bus", "enclosure", "earth")  # fmt: skip
SHOWN_REMOVED = ("Breaker", "Panel", "Meter", "Source", "Transfer", "Switch", "Structure")


def one_line(
    at: HouseAt, result: CircuitsResult, catalog: Catalog, head: SheetHead, nudges: Nudges | None = None
) -> Drawing:
    """The one-line diagram of a house.

    Args:
        at: The house at a step, with the tags of its things.
        result: What the circuits stage says of it: fault currents.
        catalog: The language.
        head: Job, place, date and draft, for the title.
        nudges: By the name of a symbol: how far it was moved by hand, to the right and down [pt].

    Returns:
        The drawing on the smallest paper that holds it; what is not known stands as "?" and is listed in `asks`.
    """
    roots, network = tree_of(at.house)
    telling = Telling(at, result, catalog)
    laid = [one for root in laid_out(roots, telling, nudges or {}) for one in root.all()]
    groups = [group_of(one) for one in laid]
    loose: list[Mark] = [mark for one in laid for mark in (*boxes_of(one), *wires_of(one))]
    removed = tuple(_removed(at, telling))
    below = Below(telling.key("one_line.title", job=head.job), _stamp(head, catalog), tuple(_kinds(laid)),
                  tuple(_notes(telling, removed, network)))  # fmt: skip
    made = on_paper(groups, loose, below, catalog)
    told = "; ".join(" ".join(m.say for m in g.marks if isinstance(m, Words) and m.layer == "labels") for g in groups)
    return Drawing(
        made.width, made.height, made.groups, made.loose, made.scale, made.title, told,
        tuple((each.thing, each.fact) for each in telling.asks), removed,
    )  # fmt: skip


def _stamp(head: SheetHead, catalog: Catalog) -> tuple[str, ...]:
    """What stands under the title: place, edition, date, engine; why it is a draft."""
    parts = [*heads.head_parts(head, catalog), *heads.foot_parts(head, catalog)]
    return tuple(line for line in (" · ".join(parts), heads.draft_text(head, catalog)) if line)


def _kinds(laid: list[Laid]) -> Iterator[str]:
    used = {one.twig.kind for one in laid}
    used |= {"earth"} if any(one.grounded for one in laid) else set()
    used |= {"enclosure"} if "bus" in used else set()
    return (kind for kind in LEGEND if kind in used)


def _removed(at: HouseAt, telling: Telling) -> Iterator[str]:
    for ident, thing in at.removed.items():
        if type(thing).__name__ in SHOWN_REMOVED:
            yield _removed_name(ident, thing, telling)


def _removed_name(ident: str, thing: Thing, telling: Telling) -> str:
    kind = telling.key(f"one_line.removed.{type(thing).__name__.lower()}")
    rating = getattr(thing, "rating_a", None)
    parts = (kind, thing.name or "", "" if rating is None else telling.amount(rating, "A", ident, "rating_a"))
    return f"{' '.join(part for part in parts if part)} (R)"


def _controls(telling: Telling) -> Iterator[str]:
    """What stays live by control power or sensing, and the signals between equipment: said, not drawn."""
    at = telling.at
    for each in at.house.transfers:
        if each.control_feeds:
            feeds = tuple(place_name(at, ident) for ident in each.control_feeds)
            yield telling.key("one_line.note.control", name=place_name(at, each.id), feeds=feeds)
    for signal in at.house.signals:
        if signal.sender and signal.receiver:
            what = said(f"web.option.{signal.purpose.replace(' ', '_')}")
            ends = {"sender": place_name(at, signal.sender), "receiver": place_name(at, signal.receiver)}
            yield telling.key("one_line.note.signal", what=what, tag=telling.tag(signal.id), **ends)


def _notes(telling: Telling, removed: tuple[str, ...], network: Network) -> Iterator[str]:
    house = telling.at.house
    yield telling.key("one_line.note.tags")
    if telling.asks:
        yield telling.key("one_line.note.unknown", count=len(telling.asks))
    if removed:
        yield telling.key("one_line.note.removed", names=", ".join(removed))
    for what, ident in network.unknowns:
        if what in ("loop", "island", "meter"):
            yield telling.key(f"one_line.note.{what}", name=place_name(telling.at, ident))
    yield from _controls(telling)
    breakers = {each.id for each in house.breakers}
    lost = sum(1 for each in house.circuits if each.breaker not in breakers)
    if lost:
        yield telling.key("one_line.note.lost_circuits", count=lost)
    for name in ("panels", "breakers", "sources", "transfers"):
        if getattr(house.complete, name) != "yes":
            yield telling.key("one_line.note.not_all", what=telling.key(f"one_line.all.{name}"))
    yield telling.key("one_line.note.forms")
    yield telling.key("one_line.note.not_dead")
