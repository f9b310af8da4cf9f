"""What repeated readings tell: their mean, and how far from it the true value may lie at a stated confidence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sqrt, tan
from statistics import NormalDist

CONFIDENCE = 0.975  # of each mean, so that a difference of two stands at 95 percent (Bonferroni's inequality)


def student(confidence: float, freedom: int) -> float:
    """Two-sided quantile of Student's t: so many standard errors hold the true mean at that confidence.

    Exact for one and two degrees of freedom; above by the expansion of Abramowitz and Stegun 26.7.5.

    Raises:
        ValueError: no degree of freedom.
    Example:
        >>> round(student(0.95, 4), 2)
        2.78
    """
    if freedom < 1:
        raise ValueError(freedom)
    upper = (1 + confidence) / 2
    if freedom == 1:
        return tan(pi * (upper - 0.5))
    if freedom == 2:  # noqa: PLR2004
        return (2 * upper - 1) / sqrt(2 * upper * (1 - upper))
    z = NormalDist().inv_cdf(upper)
    terms = (
        z,
        (z**3 + z) / 4,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
        (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160,
    )
    return float(sum(term / freedom**power for power, term in enumerate(terms)))


@dataclass(frozen=True, slots=True)
class Means:
    """Means of two sets of readings of one quantity, with how far the true ones may lie from them.

    Args:
        first, second: The means.
        first_off, second_off: Half widths of their ranges.
    """

    first: float
    second: float
    first_off: float
    second_off: float


def means_of(first: Sequence[float], second: Sequence[float], half: float = 0.0) -> Means:
    """Means of repeated readings before and after a change, scatter pooled over both.

    Args:
        first, second: Readings, at least three together beyond one each.
        half: Half of the last digit shown: added in full, for rounding is no scatter that repeats lower.
    Raises:
        ValueError: too few readings to know their scatter.
    """
    freedom = len(first) + len(second) - 2
    if freedom < 1 or not first or not second:
        raise ValueError("too few readings")
    one, two = sum(first) / len(first), sum(second) / len(second)
    squares = sum((each - one) ** 2 for each in first) + sum((each - two) ** 2 for each in second)
    scatter, times = sqrt(squares / freedom), student(CONFIDENCE, freedom)
    return Means(one, two, times * scatter / sqrt(len(first)) + half, times * scatter / sqrt(len(second)) + half)
