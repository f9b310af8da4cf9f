"""The neutral of a house as a network: throws that open it, joins to ground, what each state makes of it.

A source whose neutral is connected with that of the service is grounded there and nowhere else. A source whose neutral
is not is a system of its own: joined to ground once, at it or at its first disconnect.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from deadfront.results.transfer import Ground, Position
from deadfront.sources.rules.transfer.drawn import SERVICE, UNKNOWN, Join, NeutralLink, NeutralNet
from deadfront.sources.rules.transfer.parts import Parts, parts_of, sets_of

__all__ = ["SERVICE", "UNKNOWN", "Grounded", "Join", "NeutralLink", "NeutralNet", "Positions", "every_state",
           "feeds_in", "grounded", "moved", "states"]  # fmt: skip
MOST_TOGETHER = 6
POSITIONS: tuple[Position, Position] = ("normal", "alternate")
Positions = tuple[tuple[str, Position], ...]


@dataclass(frozen=True, slots=True)
class Grounded:
    """How a source stands in one state: what NeutralAnswer says, without names."""

    derived: bool | None
    ground: Ground
    joins: tuple[str, ...] = ()
    lacking: tuple[str, ...] = ()


def moved(net: NeutralNet) -> tuple[str, ...]:
    """Transfer equipment whose position matters to the neutral, or may: all but what leaves the neutral as it is."""
    return tuple(name for name, switched in net.switched.items() if switched is not False)


def states(net: NeutralNet) -> Iterator[Positions]:
    """Every state of the transfer equipment; of much of it, of that alone which may move the neutral; of much of that,
    all at rest, all moved, and each moved alone, and `every_state` says that there are more."""
    names = tuple(net.switched) if len(net.switched) <= MOST_TOGETHER else moved(net)
    if len(names) <= MOST_TOGETHER:
        told: Iterator[Sequence[Position]] = product(POSITIONS, repeat=len(names))
    else:
        alone = (tuple(POSITIONS[each == name] for each in names) for name in names)
        ends: list[Sequence[Position]] = [[each] * len(names) for each in POSITIONS]
        told = iter([*ends, *alone])
    for each in told:
        yield tuple(zip(names, each, strict=True))


def every_state(net: NeutralNet) -> bool:
    """Whether `states` gives every state that can differ."""
    return len(net.switched) <= MOST_TOGETHER or len(moved(net)) <= MOST_TOGETHER


def feeds_in(net: NeutralNet, source: str, positions: Positions) -> bool:
    """Whether a source can feed in a state; what the state does not tell of may be in either position."""
    through, told = net.uses.get(source, frozenset()), dict(positions)
    return not through or any(told.get(of, "alternate") == "alternate" for of in through)


def grounded(net: NeutralNet, place: str, positions: Positions, parts: Parts | None = None) -> Grounded:
    """How the source at a place is grounded in a state, over every guess of what is not known of the throws."""
    reach = sets_of(parts or parts_of(net), net, place, dict(positions))
    found = [_judged(net, each) for each in reach.sets]
    first = found[0]
    if reach.whole and all((each.derived, each.ground) == (first.derived, first.ground) for each in found):
        return first
    lacking = tuple(dict.fromkeys((*reach.guessed, *(of for each in found for of in each.lacking))))
    derived = first.derived if reach.whole and len({each.derived for each in found}) == 1 else None
    return Grounded(derived, "open", tuple(dict.fromkeys(of for each in found for of in each.joins)), lacking)


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
