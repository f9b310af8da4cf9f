"""The moves to a layout in words, one sentence a step."""

from __future__ import annotations

from deadfront.documents.catalog import Catalog
from deadfront.results.panel import MoveStep


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
