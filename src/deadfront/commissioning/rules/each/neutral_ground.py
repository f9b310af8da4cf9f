"""Where neutral and ground join and where they do not, by resistance, the panel dead and its neutral lifted."""

from __future__ import annotations

from decimal import Decimal

from deadfront.commissioning.rules.each.no_short import due
from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Asked
from deadfront.commissioning.rules.test_kind import (
    Readings,
    TestKind,
    Verdict,
    choice,
    fails,
    limit,
    meets,
    read_step,
    unclear,
)
from deadfront.worksheet.check import Severity

__all__ = ["TEST", "due", "judge"]
TEST = TestKind("neutral_ground", 30, (choice("belongs", "joined", "apart"), Asked("n_g_ohm", "ohm",
                high=Decimal(10) ** 12)), ("multimeter",), "", ("neutral_lifted",), ("dead",))  # fmt: skip


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Joined where this is the service equipment, apart in a panel fed by a feeder: what belongs is said by hand.

    It is held against the drawing: a panel fed from a breaker is one where they stay apart.
    """
    panel, reading = facts.panels.get(thing), readings["n_g_ohm"]
    steps = (read_step(TEST.key, reading),)
    belongs = readings["belongs"].choice
    by_feeder = panel is not None and panel.fed_by in facts.breakers
    if by_feeder and belongs == "joined":
        return unclear("fed_by_feeder", steps=steps)
    found = reading.values[0] if reading.values else None
    if belongs == "joined":
        if found is not None and not reading.above and found <= limit("joined_ohm").value:
            return meets("meets_joined", steps=steps, limits=(limit("joined_ohm"),), found=found)
        return fails("not_joined", Severity.DANGER, steps=steps, limits=(limit("joined_ohm"),))
    if found is None or found >= limit("apart_ohm").value:
        return meets("meets_apart", steps=steps, limits=(limit("apart_ohm"),))
    return fails("joined_twice", Severity.DANGER, steps=steps, limits=(limit("apart_ohm"),), found=found)
