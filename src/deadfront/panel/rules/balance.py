"""How even the legs are in every scenario, and what the neutral carries, as Steps."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import product

from deadfront.msg import said
from deadfront.panel.rules.currents import On
from deadfront.panel.rules.neutral import ROOT_3_HALF, neutral_step, neutral_with_factors
from deadfront.results.panel import Balance, Layout, PanelCase
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

EVEN_PERCENT = Decimal(10)
"""Legs within this much of the main's rating are left as found: this program's default; tighter limits on request."""
LEG_NAMES = ("panel.leg.l1", "panel.leg.l2", "panel.leg.l3")
EVERY_WAY = 5
"""Breakers of two poles with an unknown side that are all tried both ways; more are taken as ranges."""
Way = frozenset[str]


def balances(case: PanelCase, layout: Layout, on: Mapping[str, On]) -> tuple[Balance, ...]:
    """The legs in every scenario of a layout."""
    return tuple(_Legs(case, layout, on, index).balance() for index in range(len(case.scenarios)))


class _Legs:
    """The legs in one scenario."""

    def __init__(self, case: PanelCase, layout: Layout, on: Mapping[str, On], index: int) -> None:
        self.case, self.on, self.index = case, on, index
        self.ident = f"panel/{case.id}/{index}"
        stands = [(piece, layout[piece.id]) for piece in case.pieces if piece.id in layout and on[piece.id].steps]
        self.stands = [(piece, _legs(case, place.spaces, piece.poles)) for piece, place in stands]
        turning = [piece.id for piece, _ in self.stands if on[piece.id].either]
        self.turning = turning if len(turning) <= EVERY_WAY else []
        self.ranged = frozenset(turning) - frozenset(self.turning)

    def balance(self) -> Balance:
        """Legs, their difference, the neutral; whichever way round unknown poles are."""
        ways = [frozenset(i for i, turned in zip(self.turning, each, strict=True) if turned)
                for each in product((False, True), repeat=len(self.turning))]  # fmt: skip
        ask = tuple(dict.fromkeys(each for i in (*self.turning, *self.ranged) for each in self.on[i].ask))
        made = [self._one_way(way, f"{self.ident}/way{number}" if number else self.ident)
                for number, way in enumerate(ways)]  # fmt: skip
        legs = tuple(between(f"{self.ident}/leg{leg + 1}", [each[0][leg] for each in made], ask)
                     for leg in range(self.case.leg_count))  # fmt: skip
        apart = between(f"{self.ident}/apart", [each[1] for each in made], ask)
        neutral = between(f"{self.ident}/neutral", [each[2] for each in made], ask)
        return Balance(self.case.scenarios[self.index], legs, apart, neutral)

    def _one_way(self, way: Way, ident: str) -> tuple[tuple[Step, ...], Step, Step]:
        to_neutral: list[list[Step]] = [[] for _ in range(self.case.leg_count)]
        pairs: list[list[Step]] = [[] for _ in range(3)]  # from a leg to the next one
        factors: list[list[Decimal | None]] = [[] for _ in range(self.case.leg_count)]
        for piece, legs in self.stands:
            on = self.on[piece.id]
            turned = on.factors[::-1] if piece.id in way else on.factors
            for leg, step, factor in zip(legs, self._poles(piece.id, piece.poles, way), turned, strict=False):
                to_neutral[leg].append(step)
                factors[leg].append(None if piece.id in self.ranged else factor)
            if piece.poles == 2 and len(set(legs)) == 2 and self.case.leg_count == 3:
                pairs[legs[0] if (legs[0] + 1) % 3 == legs[1] else legs[1]].append(on.steps[self.index])
        own = tuple(build.total(f"{ident}/leg{leg + 1}", LEG_NAMES[leg], each, unit="A")
                    for leg, each in enumerate(to_neutral))  # fmt: skip
        sums = tuple(_by_angles(f"{ident}/leg{leg + 1}", leg, own[leg], pairs) for leg in range(len(own)))
        neutral = neutral_step(f"{ident}/neutral", self.case.system, own)
        known = any(factor is not None and factor < 1 for each in factors for factor in each)
        if known and self.case.system.startswith("120/240"):
            neutral = neutral_with_factors(f"{ident}/neutral", to_neutral, factors)
        return sums, _apart(ident, sums), neutral

    def _poles(self, piece: str, poles: int, way: Way) -> tuple[Step, ...]:
        """What goes to neutral from each pole, the upper one first."""
        on = self.on[piece]
        if poles == 1:
            return (on.steps[self.index],)
        if not on.poles:
            return ()
        pair = on.poles[self.index]
        if piece in self.ranged:
            both = between(f"{self.ident}/{piece}/either", pair, on.ask)
            return both, both
        return pair[::-1] if piece in way else pair


def between(ident: str, ways: Sequence[Step], ask: Sequence[Missing]) -> Step:
    """One figure worked in several ways, of which one is true: from the least to the greatest of them [A]."""
    first = ways[0]
    if all(each.value == first.value for each in ways):
        return replace(first, id=ident)
    low = min(ways, key=lambda each: each.value.low)
    high = max(ways, key=lambda each: (each.value.high is None, each.value.high or each.value.low))
    ends = (replace(low, id=f"{ident}/low"), replace(high, id=f"{ident}/high"))
    return build.between_cases(ident, first.name, *ends, unit="A", missing=tuple(ask))


def _legs(case: PanelCase, spaces: Sequence[int], poles: int) -> list[int]:
    """The leg of each pole, the upper one first."""
    there = sorted((space for space in spaces if 1 <= space <= case.spaces), key=lambda space: case.rows[space - 1])
    return [case.legs[space - 1] for space in there[:poles]]


def _by_angles(ident: str, leg: int, own: Step, pairs: Sequence[Sequence[Step]]) -> Step:
    """Current of one of three legs: loads to the legs beside it stand 30 degrees to either side of its own [A]."""
    to_next, from_last = pairs[leg], pairs[leg - 1]
    if not to_next and not from_last:
        return own
    own = replace(own, id=f"{ident}/own")
    sides = [build.total(f"{ident}/{word}", "panel.between_legs", each, unit="A")
             for word, each in (("next", to_next), ("last", from_last))]  # fmt: skip
    both = build.total(f"{ident}/both", "panel.between_legs", sides, unit="A")
    part = build.percent_of(f"{ident}/part", "panel.neutral_along", both, ROOT_3_HALF, unit="A")
    along = build.total(f"{ident}/along", "panel.neutral_along", (own, part), unit="A")
    differ = build.apart(f"{ident}/differ", "panel.between_legs", *sides, unit="A")
    across = build.percent_of(f"{ident}/across", "panel.neutral_across", differ, Decimal(50), unit="A")
    return build.hypotenuse(ident, said(LEG_NAMES[leg]), (along, across), unit="A")


def _apart(ident: str, sums: Sequence[Step]) -> Step:
    """Largest difference of two legs [A]."""
    pairs = list(_pairs(ident, sums))
    if len(pairs) == 1:
        return replace(pairs[0], id=f"{ident}/apart")
    return build.largest(f"{ident}/apart", said("panel.apart"), pairs, unit="A")


def _pairs(ident: str, sums: Sequence[Step]) -> Iterator[Step]:
    for i in range(len(sums)):
        for j in range(i + 1, len(sums)):
            yield build.apart(f"{ident}/apart{i + 1}{j + 1}", said("panel.apart"), sums[i], sums[j], unit="A")


def limit_step(case: PanelCase) -> Step | None:
    """10 percent of the main [A]: legs within it are left as found."""
    if case.main_tenths is None:
        return None
    main = build.fact(f"panel/{case.id}/main", "panel.main", Decimal(case.main_tenths) / 10, "A", "")
    return build.percent_of(f"panel/{case.id}/limit", "panel.even_limit", main, EVEN_PERCENT, unit="A")
