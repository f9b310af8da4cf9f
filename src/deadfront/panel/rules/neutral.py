"""Current of the neutral of a panel by phasors, from the current between each leg and neutral.

Split phase: the legs oppose each other, equal legs leave nothing. Two legs of a wye: equal legs leave as much as one
leg carries; the neutral is least for them, and never small. Three legs of a wye: equal legs leave nothing of the
fundamental, and all of the harmonics of orders 3, 9, 15, which add.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from deadfront.msg import said
from deadfront.physics.neutral import neutral_current
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

SAME_FACTOR = "panel_same_power_factor"
HALF = Decimal(50)
ROOT_3_HALF = Decimal("86.60254037844386")


def neutral_step(ident: str, system: str, legs: Sequence[Step]) -> Step:
    """Current of the neutral [A], power factors taken as alike on all legs (a named assumption).

    I_N = |I1 - I2| on split phase; sqrt(I1^2 + I2^2 - I1 I2) on two legs of a wye, worked as what lies along and across
    the first leg; on three legs what is common to all is taken off first.
    """
    name = said("panel.neutral")
    if len(legs) == 2 and system.startswith("120/240"):
        step = build.apart(ident, name, legs[0], legs[1], unit="A")
    elif len(legs) == 2:
        step = _two_of_wye(ident, legs[0], legs[1])
    else:
        step = _three_of_wye(ident, legs)
    return replace(step, name=name, assumed=tuple(dict.fromkeys((*step.assumed, SAME_FACTOR))))


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


def neutral_of(system: str, legs_a: Sequence[float], power_factors: Sequence[float] = ()) -> float:
    """The same by complex phasors, with the power factor of each leg where they are known [A]."""
    return neutral_current(system, legs_a, power_factors)
