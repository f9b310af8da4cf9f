"""The graph of a house: places joined by devices and conductors, each with a line side and a load side.

A place is a string: "transformer", "service point" (end of the utility's conductors), "service" (line side of the
service disconnect), "bus" (load side of it), "bus/PANEL", "out/BREAKER", "end/CIRCUIT".
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.things import House

Kind = Literal["drop", "service conductors", "disconnect", "breaker", "feeder", "circuit"]


@dataclass(frozen=True, slots=True)
class Link:
    """A device or a set of conductors between two places, current flowing from line to load.

    Args:
        id: Id of the breaker, panel (its feeder), circuit (its conductors), or "drop", "service", "disconnect".
        kind: What it is.
        line: Place at its line side.
        load: Place at its load side.
    """

    id: str
    kind: Kind
    line: str
    load: str


@dataclass(frozen=True, slots=True)
class Graph:
    """Places and links of a house.

    Args:
        places: "transformer", "service", "bus/PANEL", "out/BREAKER", "end/CIRCUIT", line side first.
        links: Everything that joins them.
        rings: Links that close a ring, each ring as the ids on it: panel, its feeding breaker, the next panel, ...
        orphans: Places that no source reaches.
        feeds: By panel id: ids of the panels between the service and it, itself last; none for a panel in a ring or
            without a source.
        supply: By panel id: the breaker its feeder starts from, or "service", with transfer equipment in its normal
            position and switches closed; not named where that is not recorded.
    """

    places: tuple[str, ...] = ()
    links: tuple[Link, ...] = ()
    rings: tuple[tuple[str, ...], ...] = ()
    orphans: tuple[str, ...] = ()
    feeds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    supply: Mapping[str, str] = field(default_factory=dict)


def graph_of(house: House) -> Graph:
    """The graph of a house as recorded; what is not known joins nothing.

    A breaker that names no panel is in the only panel there is. A panel that says nothing of what feeds it is fed by
    the service where it is the only one; else nothing reaches it.
    """
    panels = {each.id: each for each in house.panels}
    breakers = {each.id: each for each in house.breakers}
    home = {each.id: _panel_of(each, panels) for each in house.breakers}
    supply = {each.id: start for each in house.panels if (start := _supply(house, each, home)) is not None}
    above = {each.id: _above(supply.get(each.id), home) for each in house.panels}
    chains = {ident: _chain(ident, above) for ident in panels}
    feeds = {ident: chain[::-1] for ident, (chain, end) in chains.items() if end == "service"}
    links = (*_service_links(), *_links(house, supply, home))
    reached = _reached(links)
    places = dict.fromkeys(place for link in links for place in (link.line, link.load))
    places |= dict.fromkeys(f"bus/{ident}" for ident in panels)
    places |= dict.fromkeys(f"out/{ident}" for ident in breakers)
    places |= dict.fromkeys(f"end/{each.id}" for each in house.circuits)
    return Graph(
        tuple(places),
        links,
        tuple(_rings(above, panels)),
        tuple(place for place in places if place not in reached),
        feeds,
        supply,
    )


def _panel_of(breaker: Breaker, panels: Mapping[str, Panel]) -> str | None:
    """The panel a breaker is in: the one it names, else the only one there is."""
    if breaker.panel is None:
        return next(iter(panels)) if len(panels) == 1 else None
    return breaker.panel if breaker.panel in panels else None


def _supply(house: House, panel: Panel, home: Mapping[str, str | None]) -> str | None:
    """Where the feeder of a panel starts: "service" or a breaker, through switches and the normal side of transfers."""
    if panel.fed_by is None:
        return "service" if len(house.panels) == 1 else None
    ahead = {each.id: each.normal for each in house.transfers} | {each.id: each.fed_by for each in house.switches}
    at: str | None = panel.fed_by
    for _ in range(len(ahead) + 1):
        if at == "service" or at in home:
            return at
        at = ahead.get(at or "")
    return None


def _above(start: str | None, home: Mapping[str, str | None]) -> str | None:
    """What feeds a panel: "service", the id of another panel, or None where it is not recorded or not there."""
    return start if start in (None, "service") else home.get(start)


def _chain(panel: str, above: Mapping[str, str | None]) -> tuple[tuple[str, ...], str]:
    """Panels from one toward the source, and where the chain ends: "service", "nothing" or "ring"."""
    chain = [panel]
    while True:
        up = above[chain[-1]]
        if up is None or up == "service":
            return tuple(chain), up or "nothing"
        if up in chain:
            return tuple(chain), "ring"
        chain.append(up)


def _rings(above: Mapping[str, str | None], panels: Mapping[str, Panel]) -> Iterator[tuple[str, ...]]:
    """Every ring of panels once, as panel, the breaker that feeds it, the panel of that breaker, ..."""
    done: set[str] = set()
    for start in panels:
        chain: list[str] = []
        at: str | None = start
        while at is not None and at in panels and at not in done and at not in chain:
            chain.append(at)
            at = above[at]
        if at is not None and at in chain:
            ring = chain[chain.index(at) :]
            yield tuple(ident for panel in ring for ident in (panel, str(panels[panel].fed_by)))
        done.update(chain)


def _service_links() -> tuple[Link, ...]:
    return (
        Link("drop", "drop", "transformer", "service point"),
        Link("service", "service conductors", "service point", "service"),
        Link("disconnect", "disconnect", "service", "bus"),
    )


def _links(house: House, supply: Mapping[str, str], home: Mapping[str, str | None]) -> Iterator[Link]:
    for ident, start in supply.items():
        yield Link(ident, "feeder", "bus" if start == "service" else f"out/{start}", f"bus/{ident}")
    for ident, panel_id in home.items():
        if panel_id is not None:
            yield Link(ident, "breaker", f"bus/{panel_id}", f"out/{ident}")
    for circuit in house.circuits:
        if circuit.breaker in home:
            yield Link(circuit.id, "circuit", f"out/{circuit.breaker}", f"end/{circuit.id}")


def _reached(links: tuple[Link, ...]) -> set[str]:
    """Every place that the transformer reaches by going from line to load."""
    onward: dict[str, list[str]] = {}
    for link in links:
        onward.setdefault(link.line, []).append(link.load)
    reached, wait = {"transformer"}, ["transformer"]
    while wait:
        for place in onward.get(wait.pop(), ()):
            if place not in reached:
                reached.add(place)
                wait.append(place)
    return reached
