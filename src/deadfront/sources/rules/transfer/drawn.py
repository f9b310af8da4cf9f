"""What the neutral of a house is drawn with: conductors, throws, places where it may be joined to ground."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from deadfront.results.transfer import Position

SERVICE = "service"
UNKNOWN = "?"


@dataclass(frozen=True, slots=True)
class NeutralLink:
    """A neutral conductor between two places, or the throw of transfer equipment in it.

    Args:
        a, b: Places; one that begins with "?" stands for what is not recorded.
        of: Transfer equipment that it is a throw of; "" for a conductor.
        at: Position in which that throw is made.
    """

    a: str
    b: str
    of: str = ""
    at: Position = "normal"


@dataclass(frozen=True, slots=True)
class Join:
    """A place where neutral and ground are joined, or may be.

    Args:
        place: Place of the network.
        of: Thing it is in.
        there: Whether it is there; None where it is not known.
        role: service: the main bonding jumper; panel: an enclosure on the load side; standby: a source or transfer
            equipment.
    """

    place: str
    of: str
    there: bool | None
    role: Literal["service", "panel", "standby"]


@dataclass(frozen=True, slots=True)
class NeutralNet:
    """The neutral of a house.

    Args:
        links: Conductors and throws.
        joins: Places of joining.
        switched: By transfer equipment: whether its throws open the neutral too; None where it is not known.
        uses: By source: transfer equipment through whose alternate side it feeds; nothing: it is always connected.
    """

    links: tuple[NeutralLink, ...]
    joins: tuple[Join, ...]
    switched: Mapping[str, bool | None]
    uses: Mapping[str, frozenset[str]]
