"""How even the legs are in every scenario, and what the neutral carries, as Steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from deadfront.msg import said
from deadfront.panel.rules.currents import On
from deadfront.panel.rules.neutral import neutral_step
from deadfront.results.panel import Balance, Layout, PanelCase
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

EVEN_PERCENT = Decimal(10)
"""Legs within this much of the main's rating are left as found: this program's default; tighter limits on request."""
LEG_NAMES = ("panel.leg.l1", "panel.leg.l2", "panel.leg.l3")


def balances(case: PanelCase, layout: Layout, on: Mapping[str, On]) -> tuple[Balance, ...]:
    """The legs in every scenario of a layout."""
    return tuple(_balance(case, layout, on, index) for index in range(len(case.scenarios)))


def _balance(case: PanelCase, layout: Layout, on: Mapping[str, On], index: int) -> Balance:
    ident = f"panel/{case.id}/{index}"
    parts: list[list[Step]] = [[] for _ in range(case.leg_count)]
    to_neutral: list[list[Step]] = [[] for _ in range(case.leg_count)]
    for piece in case.pieces:
        place = layout.get(piece.id)
        if place is None or not on[piece.id].steps:
            continue
        legs = _legs(case, place.spaces[: piece.poles])
        step = on[piece.id].steps[index]
        if len(legs) == 1:
            to_neutral[legs[0]].append(step)
        if len(legs) == 1 or case.leg_count > 2:
            for leg in legs:
                parts[leg].append(step)
    sums = tuple(build.total(f"{ident}/leg{leg + 1}", LEG_NAMES[leg], each, unit="A") for leg, each in enumerate(parts))
    apart = _apart(ident, sums)
    own = sums if case.leg_count == 2 else tuple(
        build.total(f"{ident}/neutral{leg + 1}", LEG_NAMES[leg], each, unit="A") for leg, each in enumerate(to_neutral)
    )  # fmt: skip
    return Balance(case.scenarios[index], sums, apart, neutral_step(f"{ident}/neutral", case.system, own))


def _legs(case: PanelCase, spaces: Sequence[int]) -> list[int]:
    return sorted({case.legs[space - 1] for space in spaces if 1 <= space <= case.spaces})


def _apart(ident: str, sums: Sequence[Step]) -> Step:
    """Largest difference of two legs [A]."""
    name = said("panel.apart")
    pairs = [
        build.apart(f"{ident}/apart{i + 1}{j + 1}", name, sums[i], sums[j], unit="A")
        for i in range(len(sums))
        for j in range(i + 1, len(sums))
    ]
    if len(pairs) == 1:
        return replace(pairs[0], id=f"{ident}/apart")
    return build.largest(f"{ident}/apart", name, pairs, unit="A")


def limit_step(case: PanelCase) -> Step | None:
    """10 percent of the main [A]: legs within it are left as found."""
    if case.main_tenths is None:
        return None
    main = build.fact(f"panel/{case.id}/main", "panel.main", Decimal(case.main_tenths) / 10, "A", "")
    return build.percent_of(f"panel/{case.id}/limit", "panel.even_limit", main, EVEN_PERCENT, unit="A")
