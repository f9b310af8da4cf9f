"""The look at the finished work before power: workmanship, the torque log, markings, covers."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, meets, yes

ASKED = ("tight", "no_debris", "covers_ready", "marked", "directory")
TEST = TestKind("visual", 15, tuple(yes(key) for key in ASKED), before=("dead",), photo=True, alone=True)


def due(facts: Facts) -> Iterator[str]:
    """At every panel that the work opens, and every other enclosure it works in."""
    yield from facts.worked_in
    yield from facts.pieces


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Every point yes."""
    wrong = next((key for key in ASKED if not readings[key].yes), None)
    return meets() if wrong is None else fails(f"not_{wrong}")
