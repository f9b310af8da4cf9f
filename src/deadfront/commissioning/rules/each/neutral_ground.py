"""Where neutral and ground join and where they do not, by resistance, everything dead."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Literal

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
from deadfront.job.panel_things import Panel
from deadfront.worksheet.check import Severity

TEST = TestKind("neutral_ground", 30, (choice("belongs", "joined", "apart"), Asked("n_g_ohm", "ohm",
                high=Decimal(10) ** 12)), ("multimeter",), "", ("neutral_lifted",), ("dead",))  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every panel that the work opens, and at transfer equipment that it puts in."""
    yield from facts.worked_in
    yield from (each.id for each in facts.at.house.transfers if each.id in facts.pieces)


def expected(facts: Facts, thing: str) -> Literal["joined", "apart"] | None:
    """What belongs there by the drawing; None where the drawing does not tell.

    Joined in the service equipment alone: the panel that the service feeds where nothing ahead of it is marked as the
    service disconnect, or transfer equipment that is service equipment.
    """
    for each in facts.at.house.transfers:
        if each.id == thing:
            return None if each.service_equipment is None else "joined" if each.service_equipment else "apart"
    panel = facts.panels.get(thing)
    return _of_panel(facts, panel) if isinstance(panel, Panel) else None


def _of_panel(facts: Facts, panel: Panel) -> Literal["joined", "apart"] | None:
    if panel.fed_by is None:
        return None
    if panel.fed_by != "service":
        by_transfer = next((each for each in facts.at.house.transfers if each.id == panel.fed_by), None)
        if by_transfer is not None and by_transfer.normal == "service":
            ahead = by_transfer.service_equipment
            return None if ahead is None else "apart" if ahead else "joined"
        return "apart"
    outside = facts.at.house.service.outside
    if outside.present == "no":
        return "joined"
    if outside.present == "unknown" or outside.marked is None:
        return None
    return "apart" if outside.marked == "service disconnect" else "joined"


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """As it belongs by the drawing; where the drawing does not tell, as it belongs by the hand that wrote it."""
    reading, said_there = readings["n_g_ohm"], readings["belongs"].choice
    steps = (read_step(TEST.key, reading),)
    drawn = expected(facts, thing)
    belongs = drawn or said_there
    low, high = limit("joined_ohm"), limit("apart_ohm")
    joined = not reading.above and bool(reading.values) and reading.values[0] <= low.value
    apart = reading.at_least(high.value)
    if belongs == "apart" and apart is False:
        return fails("joined_twice", Severity.DANGER, steps=steps, limits=(high,), found=reading.values[0])
    if belongs == "joined" and not joined:
        return fails("not_joined", Severity.DANGER, steps=steps, limits=(low,))
    if drawn is not None and drawn != said_there:
        return unclear("other_drawing", steps=steps)
    if belongs == "joined":
        return meets("meets_joined", steps=steps, limits=(low,), found=reading.values[0])
    return meets("meets_apart", steps=steps, limits=(high,)) if apart else unclear("beyond", steps=steps,
                                                                                  limits=(high,))  # fmt: skip
