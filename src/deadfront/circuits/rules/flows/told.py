"""Fault currents as they are told in a sentence: whole amperes, rounded to the safe side."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from deadfront.quantities import Interval

ONE = Decimal(1)


def whole_amperes(value: Interval, *, down: bool = False) -> Interval:
    """A fault current in whole amperes [A], rounded outward; one exact value up, or down for the smallest fault."""
    low = value.low.quantize(ONE, ROUND_FLOOR)
    high = None if value.high is None else value.high.quantize(ONE, ROUND_CEILING)
    if value.exact and high is not None:
        return Interval(low, low) if down else Interval(high, high)
    return Interval(low, high)
