"""Test button of every arc-fault device that the work puts in or works on."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.each import ground_fault
from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, yes

TEST = TestKind("arc_fault", 86, (yes("trips"), yes("power_off"), yes("resets")), cautions=("tripped_once",),
                before=("bus_voltage",), alone=True)  # fmt: skip
KINDS = ("arc fault", "both")


def due(facts: Facts) -> Iterator[str]:
    """At every device of that protection on what the work touches."""
    yield from ground_fault.due(facts, KINDS)


def alarm(facts: Facts, thing: str, readings: Readings) -> Verdict | None:
    """One that does not trip, or leaves power on, whatever else is missing."""
    return ground_fault.no_trip(readings)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Trips, takes the power away, and resets."""
    return ground_fault.of_button(readings)
