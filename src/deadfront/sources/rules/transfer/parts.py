"""The neutral in parts: what is always connected is one part; throws join parts, for sure or perhaps.

Guesses of throws that are not known are not tried one by one: what counts is which parts come together, and throws
between the same two parts, however many, are one perhaps.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from deadfront.results.transfer import Position
from deadfront.sources.rules.transfer.drawn import SERVICE, UNKNOWN, NeutralLink, NeutralNet

MOST_SETS = 512


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of a neutral.

    Args:
        of: The part of a place.
        places: The places of a part, ends that are not recorded among them.
        throws: Throws of transfer equipment that opens the neutral, or may.
        plain: Parts where nothing is joined and nothing ends unrecorded, not that of the service: they only lead on.
    """

    of: Mapping[str, int]
    places: tuple[frozenset[str], ...]
    throws: tuple[NeutralLink, ...]
    plain: frozenset[int]


class Reach(NamedTuple):
    """What may be connected with a place.

    Args:
        sets: Every set of places that may be, the smallest first.
        guessed: Transfer equipment on which it hangs which one is.
        whole: False where there are more than are told.
    """

    sets: tuple[frozenset[str], ...]
    guessed: tuple[str, ...]
    whole: bool


class _Joined:
    """Numbers that come together: which stands for which."""

    def __init__(self, count: int) -> None:
        self.up = list(range(count))

    def top(self, one: int) -> int:
        while self.up[one] != one:
            self.up[one] = self.up[self.up[one]]
            one = self.up[one]
        return one

    def join(self, one: int, other: int) -> None:
        self.up[self.top(one)] = self.top(other)


def parts_of(net: NeutralNet) -> Parts:
    """The parts of a neutral: conductors, and throws of what is known not to open it, join for good."""
    ends_of = (each for link in net.links for each in (link.a, link.b) if not each.startswith(UNKNOWN))
    number = {name: n for n, name in enumerate(dict.fromkeys((*ends_of, *(each.place for each in net.joins))))}
    joined, ends, throws = _Joined(len(number)), list[tuple[str, str]](), list[NeutralLink]()
    for link in net.links:
        recorded = [each for each in (link.a, link.b) if not each.startswith(UNKNOWN)]
        if len(recorded) < 2:
            ends += [(each, other) for each in recorded for other in (link.a, link.b) if other not in recorded]
        elif link.of and net.switched[link.of] is not False:
            throws.append(link)
        else:
            joined.join(number[link.a], number[link.b])
    held: dict[int, set[str]] = {}
    for name, one in number.items():
        held.setdefault(joined.top(one), set()).add(name)
    for name, end in ends:
        held[joined.top(number[name])].add(end)
    order = {top: n for n, top in enumerate(held)}
    places = tuple(frozenset(each) for each in held.values())
    telling = {each.place for each in net.joins if each.there is not False} | {SERVICE}
    plain = frozenset(n for n, each in enumerate(places)
                      if not each & telling and not any(place.startswith(UNKNOWN) for place in each))  # fmt: skip
    return Parts({name: order[joined.top(one)] for name, one in number.items()}, places, tuple(throws), plain)


def sets_of(parts: Parts, net: NeutralNet, place: str, positions: Mapping[str, Position]) -> Reach:
    """Every set of places that may be connected with a place in a state of the transfer equipment."""
    if place not in parts.of:
        return Reach((frozenset({place}),), (), True)
    joined, perhaps = _Joined(len(parts.places)), list[NeutralLink]()
    for link in parts.throws:
        if positions[link.of] == link.at:
            joined.join(parts.of[link.a], parts.of[link.b])
        elif net.switched[link.of] is None:
            perhaps.append(link)
    start = joined.top(parts.of[place])
    lines: dict[tuple[int, int], list[str]] = {}
    for link in perhaps:
        a, b = sorted((joined.top(parts.of[link.a]), joined.top(parts.of[link.b])))
        if a != b:
            lines.setdefault((a, b), []).append(link.of)
    held: dict[int, list[int]] = {}
    for n in range(len(parts.places)):
        held.setdefault(joined.top(n), []).append(n)
    leading = {top for top, mine in held.items() if top != start and parts.plain.issuperset(mine)}
    onward = _drawn(lines, leading)
    groups, whole = _grown(start, onward)
    guessed = [of for (a, b), names in lines.items() if _touches(onward, groups, a, b) for of in names]
    sets = tuple(frozenset().union(*(parts.places[n] for top in group for n in held[top])) for group in groups)
    return Reach(sets, tuple(dict.fromkeys(guessed)) if len(groups) > 1 else (), whole)


def _drawn(lines: Iterable[tuple[int, int]], leading: set[int]) -> dict[int, set[int]]:
    """Which part may be joined to which, without parts that only lead to one other, or from one to the next."""
    onward: dict[int, set[int]] = {}
    for a, b in lines:
        onward.setdefault(a, set()).add(b)
        onward.setdefault(b, set()).add(a)
    wait = [each for each in leading if each in onward]
    while wait:
        one = wait.pop()
        near = onward.get(one)
        if near is None or len(near) > 2:
            continue
        del onward[one]
        for each in near:
            onward[each].discard(one)
            onward[each] |= near - {each}
            if each in leading:
                wait.append(each)
    return onward


def _grown(start: int, onward: Mapping[int, set[int]]) -> tuple[list[frozenset[int]], bool]:
    """Every set of parts that hangs together with the first, as far as there are not too many."""
    first = frozenset({start})
    seen, wait = {first: None}, [first]
    for group in wait:
        for each in sorted({near for one in group for near in onward.get(one, ())} - group):
            grown = group | {each}
            if grown not in seen:
                if len(seen) >= MOST_SETS:
                    return list(seen), False
                seen[grown] = None
                wait.append(grown)
    return list(seen), True


def _touches(onward: Mapping[int, set[int]], groups: list[frozenset[int]], a: int, b: int) -> bool:
    """Whether a throw stands between parts that may come together, or leads there by one that was left out."""
    reached = frozenset().union(*groups)
    return bool({a, b} & reached)
