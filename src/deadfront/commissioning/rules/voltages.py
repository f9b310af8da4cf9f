"""Voltages of a house held against the ranges of the standard, and against each other."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from deadfront.codebook.test_limits import TestLimit
from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import (
    Readings,
    Verdict,
    fails,
    limit,
    meets,
    read_step,
    unclear,
)
from deadfront.msg import said
from deadfront.quantities import whole_half_up
from deadfront.worksheet import build
from deadfront.worksheet.check import Severity
from deadfront.worksheet.step import Step

LEG_V = Decimal(120)
SPLIT_LEGS, WYE_LEGS = Decimal(2), Decimal("1.732")  # leg to leg over leg to neutral
KEYS = ("l1_l2", "l1_n", "l2_n")
NONE_V = Decimal(20)  # between hots of one leg a meter shows no more than a few volts
TORN_V = Decimal(10)  # legs this far apart about the right sum: the neutral has moved
GROUND_V = Decimal(5)  # a leg to ground reads what it reads to neutral, where neutral and ground are joined
HUNDRED = Decimal(100)


def ends_of_use() -> tuple[dict[str, Any], tuple[TestLimit, ...]]:
    """The wider range of a leg where power is used [V], and the limits it comes from."""
    low, high = "use_low_b_percent", "service_high_b_percent"
    return _ends(Decimal(1), low, high), (limit(low), limit(high))


def ends_between(times: Decimal) -> tuple[dict[str, Any], tuple[TestLimit, ...]]:
    """The wider range from leg to leg at the service [V], and the limits it comes from."""
    low, high = "service_low_b_percent", "service_high_b_percent"
    return _ends(times, low, high), (limit(low), limit(high))


def judged(facts: Facts, test: str, readings: Readings, *, idle: bool, at_use: bool = False) -> Verdict:
    """Three voltages: do they fit each other, the system, the range; at_use: at the point of use, under load."""
    if facts.wye is None:
        return unclear("system")
    l1_l2, l1_n, l2_n = (readings[key].mean for key in KEYS)
    steps: tuple[Step, ...] = tuple(read_step(test, readings[key]) for key in KEYS)
    if l1_l2 < NONE_V < min(l1_n, l2_n):
        return fails("one_leg", Severity.DANGER, steps=steps, found=l1_l2)
    fits = _fits(facts.wye, l1_l2, l1_n, l2_n)
    if not fits and _fits(not facts.wye, l1_l2, l1_n, l2_n):
        return fails("other_system", steps=steps, found=l1_l2, l1=l1_n, l2=l2_n)
    if not fits:
        return fails("sum", steps=steps, found=l1_l2, l1=l1_n, l2=l2_n)
    ground = readings.get("l1_g")
    if ground is not None and ground.known and abs(ground.mean - l1_n) > GROUND_V:
        return fails("ground", Severity.DANGER, steps=(*steps, read_step(test, ground)), found=ground.mean, l1=l1_n)
    if not facts.wye and abs(l1_n - l2_n) > TORN_V:
        return fails("neutral", Severity.DANGER, steps=steps, l1=l1_n, l2=l2_n)
    times = {"l1_l2": WYE_LEGS if facts.wye else SPLIT_LEGS, "l1_n": Decimal(1), "l2_n": Decimal(1)}
    low, low_b = ("use_low_percent", "use_low_b_percent") if at_use else ("service_low_percent",
                                                                         "service_low_b_percent")  # fmt: skip
    high, high_b = "service_high_percent", "service_high_b_percent"
    used = tuple(limit(key) for key in (low, high))
    bounds = tuple(_bound(test, key, times[where], where) for where in ("l1_l2", "l1_n") for key in (low, high))
    outside_b = [key for key in KEYS if not _within(readings[key].mean, times[key], low_b, high_b)]
    outside_a = [key for key in KEYS if not _within(readings[key].mean, times[key], low, high)]
    if outside_b:
        worst = outside_b[0]
        both = (*used, limit(low_b), limit(high_b))
        return fails("outside", steps=(*steps, *bounds), limits=both, found=readings[worst].mean,
                     where=said(f"commission.reading.{worst}"), **_ends(times[worst], low_b, high_b))  # fmt: skip
    if outside_a:
        worst = outside_a[0]
        return fails("range_b", Severity.NOTE, steps=(*steps, *bounds), limits=used, found=readings[worst].mean,
                     where=said(f"commission.reading.{worst}"), **_ends(times[worst], low, high))  # fmt: skip
    if idle and abs(l1_n - l2_n) > limit("legs_apart_v").value:
        return fails("legs_apart", steps=steps, limits=(limit("legs_apart_v"),), found=abs(l1_n - l2_n),
                     most=limit("legs_apart_v").value)  # fmt: skip
    return meets(steps=(*steps, *bounds), limits=used, found=l1_l2, l1=l1_n, l2=l2_n)


def _fits(wye: bool, l1_l2: Decimal, l1_n: Decimal, l2_n: Decimal) -> bool:
    """Whether leg to leg is what the legs to neutral make of it: their sum, or 120 degrees apart."""
    together = (l1_n * l1_n + l2_n * l2_n + l1_n * l2_n).sqrt() if wye else l1_n + l2_n
    return abs(together - l1_l2) <= together * limit("sum_apart_percent").value / HUNDRED


def _within(found: Decimal, times: Decimal, low: str, high: str) -> bool:
    ends = _ends(times, low, high)
    return bool(ends["least"] <= found <= ends["most"])


def _ends(times: Decimal, low: str, high: str) -> dict[str, Any]:
    """Ends of a range, on whole volts as the standard prints them [V]."""
    return {"least": _end(low, times), "most": _end(high, times)}


def _end(key: str, times: Decimal) -> Decimal:
    sign = -1 if "low" in key else 1
    leg = whole_half_up(LEG_V * (HUNDRED + sign * limit(key).value) / HUNDRED)
    return whole_half_up(leg * times)


def _bound(test: str, key: str, times: Decimal, where: str) -> Step:
    """One end of a range as a line of the worksheet [V]."""
    sign = -1 if "low" in key else 1
    ident, cites = f"commission/{test}/{key}/{where}", limit(key).cites
    base = build.given(f"{ident}/nominal", said("commission.nominal"), LEG_V, "V", None)
    exact = build.percent_of(f"{ident}/exact", said(f"commission.limit.{key}"), base, HUNDRED + sign * limit(key).value,
                             unit="V", cite=cites)  # fmt: skip
    leg = build.rounded(f"{ident}/leg", said(f"commission.limit.{key}"), exact, unit="V", cite=cites)
    if times == 1:
        return leg
    factor = build.given(f"{ident}/times", said("commission.leg_to_leg"), times, "", None)
    both = build.product(f"{ident}/both", said(f"commission.limit.{key}"), (leg, factor), unit="V", cite=cites)
    return build.rounded(ident, said(f"commission.limit.{key}"), both, unit="V", cite=cites)
