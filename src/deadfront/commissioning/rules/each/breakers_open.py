"""Before power: every breaker of the panel open, every load off."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, meets, yes

TEST = TestKind("breakers_open", 17, (yes("all_open"), yes("loads_off")), before=("dead",), alone=True)


def due(facts: Facts) -> Iterator[str]:
    """At every panel that the work opens."""
    yield from facts.worked_in


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """All open, all off."""
    return meets() if readings["all_open"].yes and readings["loads_off"].yes else fails("not_open")
