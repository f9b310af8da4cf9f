"""Voltage on the bus of a panel with the usual loads on."""

from __future__ import annotations

from deadfront.commissioning.rules.each.bus_voltage import due
from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, amperes, volts
from deadfront.commissioning.rules.voltages import judged

__all__ = ["TEST", "due", "judge"]
TEST = TestKind("loaded_voltage", 90, (volts("l1_l2"), volts("l1_n"), volts("l2_n"), amperes("l1_a", needed=False),
                amperes("l2_a", needed=False)), ("multimeter",), "CAT III", ("live_work", "prove_tester"),
                ("neutral_step",), alone=True)  # fmt: skip


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Within the range of the standard where power is used."""
    return judged(facts, TEST.key, readings, idle=False, at_use=True)
