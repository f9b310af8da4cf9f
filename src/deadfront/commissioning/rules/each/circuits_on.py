"""Circuits closed one at a time: two-pole loads first, then the others; none trips."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, meets, yes

TEST = TestKind("circuits_on", 70, (yes("two_pole_on"), yes("others_on"), yes("none_tripped")),
                before=("bus_voltage",), alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every panel that the work opens."""
    yield from facts.worked_in


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """All on, none tripped."""
    if not readings["none_tripped"].yes:
        return fails("tripped")
    return meets() if readings["two_pole_on"].yes and readings["others_on"].yes else fails("not_on")
