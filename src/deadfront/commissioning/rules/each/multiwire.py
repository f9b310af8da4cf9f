"""Hots of a multiwire circuit on different legs: between them the voltage of two legs, else their neutral is loaded
by both."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import (
    Readings,
    TestKind,
    Verdict,
    fails,
    limit,
    meets,
    read_step,
    unclear,
    volts,
)
from deadfront.commissioning.rules.voltages import HUNDRED, LEG_V, SPLIT_LEGS, WYE_LEGS
from deadfront.worksheet.check import Severity

TEST = TestKind("multiwire", 65, (volts("hot_to_hot"),), ("multimeter", "voltage tester"), "CAT III",
                ("live_work", "prove_tester", "neutral"), ("bus_voltage",), alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every pair that shares a neutral in a panel where the work moves or makes a breaker."""
    circuits = {each.id: each for each in facts.at.house.circuits}
    panels = {each.panel for each in facts.at.house.breakers if facts.touched(each)}
    done: set[str] = set()
    for circuit in facts.at.house.circuits:
        partner = circuits.get(circuit.shares_neutral_with or "")
        if partner is None or circuit.id in done:
            continue
        done |= {circuit.id, partner.id}
        breakers = [facts.breakers.get(each.breaker or "") for each in (circuit, partner)]
        if facts.touched(circuit, partner) or any(each is not None and each.panel in panels for each in breakers):
            yield circuit.id


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Near the voltage from leg to leg."""
    if facts.wye is None:
        return unclear("system")
    reading, share = readings["hot_to_hot"], limit("multiwire_least_share_percent")
    usual = LEG_V * (WYE_LEGS if facts.wye else SPLIT_LEGS)
    least = (usual * share.value / HUNDRED).to_integral_value()
    steps = (read_step(TEST.key, reading),)
    if reading.mean < least:
        return fails("one_leg", Severity.DANGER, steps=steps, limits=(share,), found=reading.mean, least=least)
    return meets(steps=steps, limits=(share,), found=reading.mean)
