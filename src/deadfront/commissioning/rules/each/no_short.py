"""No short before power: resistance between the conductors of a panel with every breaker open."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Asked
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, limit, meets, read_step, unclear
from deadfront.msg import said
from deadfront.worksheet.check import Severity

PAIRS = ("l1_l2", "l1_n", "l2_n", "l1_g", "l2_g")
TEST = TestKind("no_short", 20, tuple(Asked(f"{pair}_ohm", "ohm", high=Decimal(10) ** 12) for pair in PAIRS),
                ("multimeter", "insulation tester"), "", ("prove_tester",), ("dead",), alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every panel that was made dead for the work."""
    yield from facts.worked_in


def alarm(facts: Facts, thing: str, readings: Readings) -> Verdict | None:
    """A short between any two, whatever else is missing."""
    least = limit("no_short_ohm")
    for pair in PAIRS:
        reading = readings[f"{pair}_ohm"]
        if reading.known and reading.at_least(least.value) is False:
            return fails("short", Severity.DANGER, steps=(read_step(TEST.key, reading),), limits=(least,),
                         found=reading.values[0], least=least.value,
                         where=said(f"commission.reading.{pair}_ohm"))  # fmt: skip
    return None


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Open between all of them."""
    steps = tuple(read_step(TEST.key, readings[f"{pair}_ohm"]) for pair in PAIRS)
    least = limit("no_short_ohm")
    if any(readings[f"{pair}_ohm"].at_least(least.value) is None for pair in PAIRS):
        return unclear("beyond", steps=steps, limits=(least,), least=least.value)
    return meets(steps=steps, limits=(least,), least=least.value)
