"""No short before power: resistance between the conductors of a panel with every breaker open."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.commissioning.rules.each.dead import due as dead_due
from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Asked
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, limit, meets, read_step
from deadfront.msg import said
from deadfront.worksheet.check import Severity

PAIRS = ("l1_l2", "l1_n", "l2_n", "l1_g", "l2_g")
TEST = TestKind("no_short", 20, tuple(Asked(f"{pair}_ohm", "ohm", high=Decimal(10) ** 12) for pair in PAIRS),
                ("multimeter", "insulation tester"), "", ("prove_tester",), ("dead",), alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every panel that was made dead for the work."""
    yield from (thing for thing in dead_due(facts) if thing != "service")


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Open between all of them."""
    steps = tuple(read_step(TEST.key, readings[f"{pair}_ohm"]) for pair in PAIRS)
    least = limit("no_short_ohm")
    for pair in PAIRS:
        reading = readings[f"{pair}_ohm"]
        low = reading.values[0] if reading.values else None
        if low is not None and low < least.value:
            return fails("short", Severity.DANGER, steps=steps, limits=(least,), found=low, least=least.value,
                         where=said(f"commission.reading.{pair}_ohm"))  # fmt: skip
    return meets(steps=steps, limits=(least,), least=least.value)
