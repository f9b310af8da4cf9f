"""Hots of a multiwire circuit on different legs: between them the voltage of two legs, else their neutral is loaded
by both."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import (
    VOLTMETERS,
    Readings,
    TestKind,
    Verdict,
    fails,
    meets,
    read_step,
    unclear,
    volts,
)
from deadfront.commissioning.rules.voltages import SPLIT_LEGS, WYE_LEGS, ends_between
from deadfront.worksheet.check import Severity

TEST = TestKind("multiwire", 65, (volts("hot_to_hot"),), VOLTMETERS, "CAT III",
                ("live_work", "prove_tester", "neutral"), ("bus_voltage",), alone=True)  # fmt: skip

ONE_LEG_V = 30  # hots of one leg read no more than their drops


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
    reading = readings["hot_to_hot"]
    ends, used = ends_between(WYE_LEGS if facts.wye else SPLIT_LEGS)
    steps = (read_step(TEST.key, reading),)
    if reading.mean < ONE_LEG_V:
        return fails("one_leg", Severity.DANGER, steps=steps, limits=used, found=reading.mean, **ends)
    if not ends["least"] <= reading.mean <= ends["most"]:
        return fails("odd", Severity.DANGER, steps=steps, limits=used, found=reading.mean, **ends)
    return meets(steps=steps, limits=used, found=reading.mean)
