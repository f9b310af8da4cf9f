"""The neutral of a house as a network: throws that open it, joins to ground, what each state makes of it.

A source whose neutral is connected with that of the service is grounded there and nowhere else. A source whose neutral
is not is a system of its own: joined to ground once, at it or at its first disconnect.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product
from typing import Literal

from deadfront.results.transfer import Ground, Position

SERVICE = "service"
UNKNOWN = "?"
MOST_STATES = 256
POSITIONS: tuple[Position, Position] = ("normal", "alternate")
Positions = tuple[tuple[str, Position], ...]


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


@dataclass(frozen=True, slots=True)
class Grounded:
    """How a source stands in one state: what NeutralAnswer says, without names."""

    derived: bool | None
    ground: Ground
    joins: tuple[str, ...] = ()
    lacking: tuple[str, ...] = ()


def states(net: NeutralNet) -> Iterator[Positions]:
    """Every state of the transfer equipment, as far as there are not more than can be looked at."""
    names = tuple(net.switched)
    for each in islice(product(POSITIONS, repeat=len(names)), MOST_STATES):
        yield tuple(zip(names, each, strict=True))


def feeds_in(net: NeutralNet, source: str, positions: Positions) -> bool:
    """Whether a source can feed in a state."""
    through = net.uses.get(source, frozenset())
    return not through or any(of in through and at == "alternate" for of, at in positions)


def grounded(net: NeutralNet, place: str, positions: Positions) -> Grounded:
    """How the source at a place is grounded in a state, over every guess of what is not known of the throws."""
    unknown = [name for name, switched in net.switched.items() if switched is None]
    found = []
    for guess in islice(product((True, False), repeat=len(unknown)), MOST_STATES):
        switched = {**net.switched, **dict(zip(unknown, guess, strict=True))}
        found.append(_judged(net, _together(net, place, dict(positions), switched)))
    first = found[0]
    if all((each.derived, each.ground) == (first.derived, first.ground) for each in found):
        return first
    lacking = tuple(dict.fromkeys((*unknown, *(of for each in found for of in each.lacking))))
    derived = first.derived if len({each.derived for each in found}) == 1 else None
    return Grounded(derived, "open", tuple(dict.fromkeys(of for each in found for of in each.joins)), lacking)


def _together(
    net: NeutralNet, place: str, positions: Mapping[str, Position], switched: Mapping[str, bool | None]
) -> frozenset[str]:
    """Every place whose neutral is connected with that of a place."""
    onward: dict[str, list[str]] = {}
    for link in net.links:
        if not link.of or not switched[link.of] or positions[link.of] == link.at:
            onward.setdefault(link.a, []).append(link.b)
            onward.setdefault(link.b, []).append(link.a)
    reached, wait = {place}, [place]
    while wait:
        for each in onward.get(wait.pop(), ()):
            if each not in reached:
                reached.add(each)
                if not each.startswith(UNKNOWN):
                    wait.append(each)
    return frozenset(reached)


def _judged(net: NeutralNet, places: frozenset[str]) -> Grounded:
    joins = [each for each in net.joins if each.place in places]
    unrecorded = tuple(sorted(each for each in places if each.startswith(UNKNOWN)))
    if SERVICE in places:
        return _with_service(joins, unrecorded)
    if unrecorded:
        return Grounded(None, "open", _of(joins, True), (*_of(joins, None), *unrecorded))
    there, maybe = _of(joins, True), tuple(of for of in _of(joins, None) if of not in _of(joins, True))
    if len(there) > 1:
        return Grounded(True, "doubled", there)
    if maybe:
        return Grounded(True, "open", there, maybe)
    return Grounded(True, "once" if there else "floating", there)


def _with_service(joins: Sequence[Join], unrecorded: tuple[str, ...]) -> Grounded:
    """A neutral connected with that of the service: joined there, and in no source or transfer equipment."""
    base = [each for each in joins if each.role == "service"]
    besides = [each for each in joins if each.role == "standby"]
    extra, maybe = _of(besides, True), _of(besides, None)
    there = (*_of(base, True)[:1], *extra)
    if extra:
        return Grounded(False, "doubled", there)
    if _of(base, True):
        return Grounded(False, "open" if maybe or unrecorded else "once", there, (*maybe, *unrecorded))
    if maybe or unrecorded or not base or _of(base, None):
        return Grounded(False, "open", there, (*maybe, *unrecorded, *(_of(base, None) or (SERVICE,))))
    return Grounded(False, "floating")


def _of(joins: Sequence[Join], there: bool | None) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each.of for each in joins if each.there is there))
