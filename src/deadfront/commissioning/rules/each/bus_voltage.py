"""Voltage on the bus of a panel with its main closed and its branch breakers open."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import VOLTMETERS, Readings, TestKind, Verdict, volts
from deadfront.commissioning.rules.voltages import judged

TEST = TestKind("bus_voltage", 50, (volts("l1_l2"), volts("l1_n"), volts("l2_n"), volts("l1_g", needed=False)),
                VOLTMETERS, "CAT III", ("live_work", "prove_tester"), ("service_voltage",),
                found=True, alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every panel that the work opens; at all where it touches the service, or where there is no work."""
    everywhere = facts.changed("service") or not facts.works
    yield from (each.id for each in facts.at.house.panels if everywhere or each.id in facts.worked_in)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """As at the service."""
    return judged(facts, TEST.key, readings, idle=True)
