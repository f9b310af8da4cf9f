"""Impedance of the neutral and of a leg from one load step: the idle leg rises by what the neutral drops."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Reading
from deadfront.commissioning.rules.test_kind import (
    VOLTMETERS,
    Readings,
    TestKind,
    Verdict,
    amperes,
    choice,
    fails,
    limit,
    limit_step,
    meets,
    read_step,
    unclear,
    volts,
)
from deadfront.msg import said
from deadfront.physics.repeats import means_of
from deadfront.quantities import between, dec
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, Severity, at_most
from deadfront.worksheet.step import Step

TEST = TestKind(
    "neutral_step", 60,
    (choice("leg", "L1", "L2"), volts("l1_idle", repeats=True), volts("l2_idle", repeats=True),
     volts("l1_loaded", repeats=True), volts("l2_loaded", repeats=True), amperes("step_a")),
    VOLTMETERS, "CAT III", ("live_work", "prove_tester", "neutral"), ("bus_voltage",), found=True, alone=True,
)  # fmt: skip
LEAST_READINGS = 2
FINE = Decimal("0.001")


def due(facts: Facts) -> Iterator[str]:
    """At the service: its neutral carries the whole house. On two legs of a wye the method does not hold."""
    if facts.wye is not True and (not facts.works or facts.worked_in or facts.changed("service")):
        yield "service"


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """The neutral's impedance within the limit, with its range at 95 percent."""
    if facts.wye is None:
        return unclear("system")
    if facts.wye:
        return unclear("wye")
    leg = readings["leg"].choice.lower()
    other = "l2" if leg == "l1" else "l1"
    if any(len(readings[key].values) < LEAST_READINGS for key in (f"{leg}_idle", f"{other}_idle")):
        return unclear("few")
    try:
        own = _pair(readings[f"{leg}_idle"], readings[f"{leg}_loaded"], leg)
        far = _pair(readings[f"{other}_idle"], readings[f"{other}_loaded"], other)
    except ValueError:
        return unclear("few")
    current = read_step(TEST.key, readings["step_a"])
    if readings["step_a"].mean < limit("neutral_step_least_a").value:
        return unclear("small", limits=(limit("neutral_step_least_a"),), least=limit("neutral_step_least_a").value)
    fall = readings[f"{leg}_idle"].mean - readings[f"{leg}_loaded"].mean
    if fall <= 0:
        return unclear("other_leg", rise=abs(fall))
    if _sank(far):
        return unclear("both_fell")
    rise = build.minus("commission/neutral_step/rise", said("commission.step.rise"), far[1], far[0], unit="V")
    drop = build.minus("commission/neutral_step/drop", said("commission.step.drop"), own[0], own[1], unit="V")
    share = build.quotient("commission/neutral_step/share", said("commission.step.share"), rise, current, unit="ohm")
    neutral = _with_allowance(share)
    of_leg = build.minus("commission/neutral_step/of_leg", said("commission.step.of_leg"), drop, rise, unit="V")
    line = build.quotient("commission/neutral_step/line", said("commission.step.line"), of_leg, current, unit="ohm")
    most = limit("neutral_ohm")
    steps = (share, limit_step(TEST.key, "neutral_ohm"), neutral, line)
    told: dict[str, Any] = {
        "steps": steps,
        "limits": (most,),
        "share": share.value,
        "neutral": neutral.value,
        "line": line.value,
        "most": most.value,
    }
    outcome = at_most(share.value, limit_step(TEST.key, "neutral_ohm").value)
    if outcome is Outcome.FAILS:
        return fails("loose", Severity.DANGER, **told)
    of_line = limit("line_ohm")
    of_the_line = at_most(line.value, limit_step(TEST.key, "line_ohm").value)
    if of_the_line is not Outcome.MEETS:
        told |= {"limits": (most, of_line), "most": of_line.value}
        return fails("hot_loose", Severity.DANGER, **told) if of_the_line is Outcome.FAILS else unclear(
            "wide_line", **told)  # fmt: skip
    return meets(**told) if outcome is Outcome.MEETS else unclear("wide", **told)


def _sank(pair: tuple[Step, Step]) -> bool:
    """Whether the idle leg fell for certain: then the supply moved, or the load is on both legs."""
    idle, loaded = pair[0].value, pair[1].value
    return loaded.high is not None and loaded.high < idle.low


def _with_allowance(share: Step) -> Step:
    """Impedance of the neutral: never below what the rise shows, above it by what hides a part of the rise.

    The transformer's own drop and loads already on lower the idle leg; on simulated services of 10 to 100 kVA both
    together hid at most this much.
    """
    ident = "commission/neutral_step/neutral"
    more = build.product(f"{ident}/more", said("commission.step.hidden"),
                         (share, limit_step(TEST.key, "neutral_hidden_share")), unit="ohm", inline=True)  # fmt: skip
    transformer = limit_step(TEST.key, "neutral_hidden_ohm")
    most = build.total(f"{ident}/most", said("commission.step.most"), (more, transformer), unit="ohm", inline=True)
    return build.between_cases(ident, said("commission.step.neutral"), share, most, unit="ohm")


def _pair(idle: Reading, loaded: Reading, leg: str) -> tuple[Step, Step]:
    """Means of a leg idle and loaded with their ranges [V].

    Raises:
        ValueError: too few readings to know their scatter.
    """
    half = float(max(idle.half, loaded.half))
    found = means_of([float(each) for each in idle.values], [float(each) for each in loaded.values], half)
    one = _mean(f"{leg}_idle", found.first, found.first_off)
    return one, _mean(f"{leg}_loaded", found.second, found.second_off)


def _mean(key: str, mean: float, off: float) -> Step:
    low, high = (dec(str(each)).quantize(FINE) for each in (max(mean - off, 0.0), mean + off))
    return build.fact(f"commission/neutral_step/{key}", said(f"commission.mean.{key}"), between(low, high), "V", "")
