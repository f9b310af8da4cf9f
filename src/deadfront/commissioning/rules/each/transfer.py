"""Transfer to the house's own source and back, by a simulated outage: volts, frequency, times."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Asked
from deadfront.commissioning.rules.test_kind import (
    VOLTMETERS,
    Readings,
    TestKind,
    Verdict,
    fails,
    limit,
    read_step,
    seconds,
    volts,
    yes,
)
from deadfront.commissioning.rules.voltages import HUNDRED, judged

USUAL_HZ = Decimal(60)
TEST = TestKind(
    "transfer",
    110,
    (
        yes("went_over"),
        volts("l1_l2"),
        volts("l1_n"),
        volts("l2_n"),
        Asked("hertz", "Hz", high=Decimal(500)),
        seconds("over_s"),
        yes("came_back"),
        seconds("back_s"),
        seconds("allowed_s", needed=False),
    ),
    VOLTMETERS,
    "CAT III",
    ("several_sources", "backup", "live_work"),
    ("bus_voltage",),
    alone=True,
)


def due(facts: Facts) -> Iterator[str]:
    """At all transfer equipment."""
    yield from (each.id for each in facts.at.house.transfers)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Goes over and comes back; on the source, volts and frequency within their ranges."""
    if not readings["went_over"].yes:
        return fails("stayed")
    if not readings["came_back"].yes:
        return fails("no_return")
    off = limit("frequency_off_percent")
    steps = (read_step(TEST.key, readings["hertz"]),)
    if abs(readings["hertz"].mean - USUAL_HZ) > USUAL_HZ * off.value / HUNDRED:
        return fails("frequency", steps=steps, limits=(off,), found=readings["hertz"].mean)
    found = judged(facts, TEST.key, readings, idle=False, at_use=True)
    if found.which != "meets":
        return found
    allowed = readings["allowed_s"]
    if allowed.known and readings["over_s"].mean > allowed.mean:
        return fails("slow", found=readings["over_s"].mean, most=allowed.mean)
    return Verdict(found.outcome, "meets", {"over": readings["over_s"].mean, "back": readings["back_s"].mean,
                   **found.params}, steps=(*steps, *found.steps), limits=(*found.limits, off))  # fmt: skip
