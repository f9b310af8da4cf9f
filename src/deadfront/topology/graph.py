"""The graph of a house: places joined by devices and conductors, each with a line side and a load side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from deadfront.job.things import House


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
    kind: Literal["drop", "service conductors", "disconnect", "breaker", "feeder", "circuit"]
    line: str
    load: str


@dataclass(frozen=True, slots=True)
class Graph:
    """Places and links of a house.

    Args:
        places: "transformer", "service", "bus/PANEL", "out/BREAKER", "end/CIRCUIT", line side first.
        links: Everything that joins them.
        rings: Links that close a ring, each ring as the ids on it.
        orphans: Places that no source reaches.
    """

    places: tuple[str, ...] = ()
    links: tuple[Link, ...] = ()
    rings: tuple[tuple[str, ...], ...] = ()
    orphans: tuple[str, ...] = ()


def graph_of(house: House) -> Graph:
    """The graph of a house as recorded; what is not known joins nothing."""
    return Graph()
