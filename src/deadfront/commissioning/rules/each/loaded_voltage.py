"""Voltage on the bus of a panel with the usual loads on."""

from __future__ import annotations

from deadfront.commissioning.rules.each.bus_voltage import due
from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import (
    VOLTMETERS,
    Readings,
    TestKind,
    Verdict,
    amperes,
    fails,
    limit,
    unclear,
    volts,
)
from deadfront.commissioning.rules.voltages import judged

__all__ = ["TEST", "due", "judge"]
TEST = TestKind(
    "loaded_voltage",
    90,
    (volts("l1_l2"), volts("l1_n"), volts("l2_n"), amperes("l1_a"), amperes("l2_a")),
    VOLTMETERS,
    "CAT III",
    ("live_work", "prove_tester"),
    ("neutral_step",),
)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Within the range of the standard: at the service's own panel as at the service, beyond a feeder as in use."""
    panel, least = facts.panels.get(thing), limit("loaded_least_a")
    if readings["l1_a"].mean + readings["l2_a"].mean < least.value:
        return unclear("no_load", limits=(least,), least=least.value)
    beyond = panel is not None and panel.fed_by not in (None, "service")
    found = judged(facts, TEST.key, readings, idle=False, at_use=beyond)
    apart = abs(readings["l1_n"].mean - readings["l2_n"].mean)
    if found.which == "meets" and not facts.wye and apart > limit("legs_apart_loaded_v").value:
        most = limit("legs_apart_loaded_v")
        return fails("legs_apart", steps=found.steps, limits=(*found.limits, most), found=apart, most=most.value)
    return found
