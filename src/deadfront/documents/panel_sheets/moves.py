"""The moves to a layout in words, one sentence a step; and the moves that the work makes, in order."""

from __future__ import annotations

from dataclasses import replace

from deadfront.documents.catalog import Catalog
from deadfront.panel.rules.order import ordered
from deadfront.results.panel import MoveStep, PanelResult

UNWORKABLE = ("unplaced", "no_such_space", "shape", "overlap", "one_leg", "multiwire_leg")
"""What is wrong with a layout so that no order of moves leads to it."""


def step_words(step: MoveStep, catalog: Catalog) -> str:
    """One step in words."""
    start, end = (() if each is None else each.told() for each in (step.start, step.end))
    kind = step.kind
    if kind == "park":
        words = catalog.key("panel.move.park", name=step.name, start=start)
    elif step.other_size:
        words = catalog.key("panel.move.resize", name=step.name, start=start, end=end)
    elif kind == "place":
        words = catalog.key("panel.move.place_new" if step.new else "panel.move.place_back", name=step.name, end=end)
    else:
        words = catalog.key("panel.move.move", name=step.name, start=start, end=end)
    return f"{words} {catalog.key('panel.move.reach')}" if step.check_reach else words


def work_order(now: PanelResult, found: PanelResult | None) -> tuple[MoveStep, ...]:
    """What the work moves in a panel, in the order it is worked; empty while something is wrong with where it goes.

    Args:
        now: The panel after the work; `found`: as found, None where it was not there or cannot be laid out.
    """
    if now.case is None or found is None or found.case is None:
        return ()
    places, was = now.case.found(), found.case.found()
    pieces = tuple(replace(each, now=was.get(each.id)) for each in now.case.pieces if each.id in places)
    moved = {each.id for each in pieces if each.now != places[each.id]}
    if any(wrong.kind in UNWORKABLE and set(wrong.pieces) & moved for wrong in now.violations):
        return ()
    return ordered(replace(now.case, pieces=pieces), places)
