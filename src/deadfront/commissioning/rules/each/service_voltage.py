"""Voltage on the line side of the service disconnect, before anything of the house is connected."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import VOLTMETERS, Readings, TestKind, Verdict, volts
from deadfront.commissioning.rules.voltages import judged

TEST = TestKind("service_voltage", 40, (volts("l1_l2"), volts("l1_n"), volts("l2_n"), volts("l1_g", needed=False)),
                VOLTMETERS, "CAT IV", ("line_side_live", "prove_tester"),
                ("no_short", "neutral_ground"), found=True, alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At the service, where the work opens a panel or touches the service, or where there is no work."""
    if not facts.works or facts.worked_in or facts.changed("service"):
        yield "service"


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Within the range of the standard at the service, the legs alike."""
    return judged(facts, TEST.key, readings, idle=True)
