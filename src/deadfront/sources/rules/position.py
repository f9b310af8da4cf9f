"""Where the breaker of a source stands on its bus: at the end away from the main, or at one end of a center-fed bus."""

from __future__ import annotations

from collections.abc import Iterable

from deadfront.job.panel_things import Breaker, Panel
from deadfront.sources.rules.amounts import Told
from deadfront.sources.rules.facts import SourceFacts
from deadfront.topology.rows import place_of

AWAY = {"top": 1, "bottom": -1}


def fed_at(panel: Panel) -> str | None:
    """Where a panel is fed: at its main, or where its conductors come in."""
    return panel.lugs_at if panel.main_at in (None, "none") else panel.main_at


def _lacking_end(facts: SourceFacts, panel: Panel) -> Told:
    field = "lugs_at" if panel.main_at == "none" else "main_at"
    return Told(None, (facts.lack(panel, field),))


def opposite(facts: SourceFacts, panel: Panel, breakers: Iterable[Breaker | None]) -> Told:
    """Whether all these breakers stand at the end of the bus away from where it is fed, nothing beyond them.

    A source that comes in with the feed stands at the wrong end. Free spaces beyond count as something beyond: a
    breaker put there later would no longer be between the two sources.
    """
    end = fed_at(panel)
    if end is None:
        return _lacking_end(facts, panel)
    if end == "center":
        return Told(False)
    return _at_end(facts, panel, tuple(breakers), AWAY[end])


def one_end(facts: SourceFacts, panel: Panel, breakers: Iterable[Breaker | None]) -> Told:
    """Whether all these breakers stand at one end of a center-fed bus, top or bottom, never some at each."""
    if fed_at(panel) is None:
        return _lacking_end(facts, panel)
    held = tuple(breakers)
    ways = [_at_end(facts, panel, held, way) for way in AWAY.values()]
    if any(each.truth for each in ways):
        return Told(True)
    return next((each for each in ways if each.truth is None), Told(False))


def _at_end(facts: SourceFacts, panel: Panel, breakers: tuple[Breaker | None, ...], way: int) -> Told:
    if None in breakers:
        return Told(False)
    held = [each for each in breakers if each is not None]
    unplaced = tuple(facts.lack(each, "spaces") for each in held if not each.spaces)
    if unplaced or panel.spaces is None:
        return Told(None, unplaced or (facts.lack(panel, "spaces"),))
    places = {place_of(panel, space) for each in held for space in each.spaces}
    all_places = {place_of(panel, space) for space in range(1, panel.spaces + 1)}
    columns = {column for _, column in places}
    free = all_places - places
    for column in columns:
        mine = [row * way for row, at in places if at == column]
        if any(row * way > min(mine) for row, at in free if at == column):
            return Told(False)
    return Told(True)
