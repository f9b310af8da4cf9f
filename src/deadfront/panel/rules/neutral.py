"""Current of the neutral of a panel by phasors, from the current between each leg and neutral.

Split phase: the legs oppose each other, equal legs leave nothing. Two legs of a wye: equal legs leave as much as one
leg carries; the neutral is least for them, and never small. Three legs of a wye: equal legs leave nothing of the
fundamental, and all of the harmonics of orders 3, 9, 15, which add.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import product

from deadfront.msg import said
from deadfront.quantities import ZERO
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

SAME_FACTOR = "panel_same_power_factor"
SAME_FACTOR_WYE = "panel_same_power_factor_wye"
UNITY = "panel_unity_power_factor"
HALF = Decimal(50)
ROOT_3_HALF = Decimal("86.60254037844386")
Currents = tuple[Decimal, ...]


def neutral_step(ident: str, system: str, legs: Sequence[Step]) -> Step:
    """Current of the neutral [A], power factors taken as alike on all legs (a named assumption).

    I_N = |I1 - I2| on split phase; sqrt(I1^2 + I2^2 - I1 I2) on two legs of a wye, worked as what lies along and across
    the first leg; on three legs what is common to all is taken off first. Where legs are ranges, the least and the
    greatest that any currents within them give: the legs are the same in every part of the formula.
    """
    name = said("panel.neutral")
    if len(legs) == 2 and system.startswith("120/240"):
        step, taken = build.apart(ident, name, legs[0], legs[1], unit="A"), SAME_FACTOR
    elif all(each.value.exact for each in legs):
        step, taken = _of_wye(ident, legs), SAME_FACTOR_WYE
    else:
        step, taken = _range_of_wye(ident, legs), SAME_FACTOR_WYE
    return replace(step, name=name, assumed=tuple(dict.fromkeys((*step.assumed, taken))))


def neutral_with_factors(
    ident: str, legs: Sequence[Sequence[Step]], factors: Sequence[Sequence[Decimal | None]]
) -> Step:
    """Current of the neutral of split phase [A] where power factors are on file: in-phase and reactive parts apart.

    I_N = hypotenuse of |sum I cos phi of L1 - the same of L2| and |sum I sin phi of L1 - the same of L2|, all lagging;
    a load without a power factor on file counts at 1 (a named assumption).
    """
    sides: list[Step] = []
    for word in ("in_phase", "reactive"):
        name, sums = f"panel.{word}", list[Step]()
        for leg, (steps, known) in enumerate(zip(legs, factors, strict=True)):
            parts = [build.percent_of(f"{ident}/{word}{leg}/{number}", name, step, _percent(factor, word), unit="A")
                     for number, (step, factor) in enumerate(zip(steps, known, strict=True))]  # fmt: skip
            sums.append(build.total(f"{ident}/{word}{leg}", name, parts, unit="A"))
        sides.append(build.apart(f"{ident}/{word}", name, *sums, unit="A"))
    step = build.hypotenuse(ident, said("panel.neutral"), sides, unit="A")
    return replace(step, assumed=tuple(dict.fromkeys((*step.assumed, UNITY))))


def _percent(factor: Decimal | None, word: str) -> Decimal:
    """Part of a current in phase with its voltage, or a quarter of a cycle behind it [%]."""
    taken = Decimal(1) if factor is None else factor
    part = taken if word == "in_phase" else (1 - taken * taken).sqrt()
    return (part * 100).quantize(Decimal("0.0001"))


def _of_wye(ident: str, legs: Sequence[Step]) -> Step:
    return _two_of_wye(ident, legs[0], legs[1]) if len(legs) == 2 else _three_of_wye(ident, legs)


def _range_of_wye(ident: str, legs: Sequence[Step]) -> Step:
    """From the least to the greatest neutral of currents within the ranges of the legs [A].

    The square of the current is convex in the currents: it is greatest at a corner, and least where no leg alone makes
    it less: at a corner, on an edge, or where all three are equal.
    """
    open_ = tuple(dict.fromkeys(each for leg in legs for each in leg.all_missing()))
    taken = tuple(dict.fromkeys(each for leg in legs for each in leg.all_assumed()))
    ends = [(leg.value.low, FAR if leg.value.high is None else leg.value.high) for leg in legs]
    least = _case(f"{ident}/least", legs, min(_candidates(ends), key=_square))
    bounded = all(leg.value.high is not None for leg in legs)
    most = _case(f"{ident}/most", legs, max(product(*ends), key=_square)) if bounded else None
    return build.between_cases(ident, said("panel.neutral"), least, most, unit="A", missing=open_, assumed=taken)


FAR = Decimal(10) ** 6
"""Stands for a current without an upper end where the least neutral is looked for [A]."""


def _case(ident: str, legs: Sequence[Step], currents: Currents) -> Step:
    """The neutral at one choice of currents within the ranges."""
    chosen = [build.fact(f"{ident}/leg{number}", leg.name, current, "A", "")
              for number, (leg, current) in enumerate(zip(legs, currents, strict=True))]  # fmt: skip
    return _of_wye(ident, chosen)


def _square(currents: Sequence[Decimal]) -> Decimal:
    """The square of the current of the neutral [A2]: the legs stand 120 degrees apart."""
    a, b, c = (*currents, ZERO)[:3]
    return a * a + b * b + c * c - a * b - b * c - c * a


def _candidates(ends: Sequence[tuple[Decimal, Decimal]]) -> Iterator[Currents]:
    """Currents among which the least neutral is: corners, the best point of every edge, all legs alike."""
    yield from product(*ends)
    for free in range(len(ends)):
        for others in product(*ends[:free], *ends[free + 1 :]):
            best = sum(others, ZERO) / 2
            held = min(max(best, ends[free][0]), ends[free][1])
            yield (*others[:free], held, *others[free:])
    alike = max(low for low, _ in ends)
    if len(ends) == 3 and alike <= min(high for _, high in ends):
        yield (alike,) * 3


def _two_of_wye(ident: str, first: Step, second: Step) -> Step:
    """The length of I1 + I2 turned by 120 degrees: along the first leg I1 - I2/2, across it sqrt(3)/2 I2 [A]."""
    half = build.percent_of(f"{ident}/half", "panel.neutral_half", second, HALF, unit="A")
    along = build.apart(f"{ident}/along", "panel.neutral_along", first, half, unit="A")
    across = build.percent_of(f"{ident}/across", "panel.neutral_across", second, ROOT_3_HALF, unit="A")
    return build.hypotenuse(ident, said("panel.neutral"), (along, across), unit="A")


def _three_of_wye(ident: str, legs: Sequence[Step]) -> Step:
    """Two of the legs against the mean of the others: along I1 - (I2 + I3)/2, across sqrt(3)/2 |I2 - I3| [A]."""
    rest = build.total(f"{ident}/rest", "panel.neutral_rest", legs[1:], unit="A")
    half = build.percent_of(f"{ident}/half", "panel.neutral_half", rest, HALF, unit="A")
    along = build.apart(f"{ident}/along", "panel.neutral_along", legs[0], half, unit="A")
    between = build.apart(f"{ident}/between", "panel.neutral_between", legs[1], legs[2], unit="A")
    across = build.percent_of(f"{ident}/across", "panel.neutral_across", between, ROOT_3_HALF, unit="A")
    return build.hypotenuse(ident, said("panel.neutral"), (along, across), unit="A")
