"""Absence of voltage at the point of work: every pair of conductors and each to ground, the tester proved twice."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import (
    VOLTMETERS,
    Readings,
    TestKind,
    Verdict,
    fails,
    limit,
    meets,
    read_step,
    volts,
)
from deadfront.commissioning.rules.test_kind import yes as asks
from deadfront.worksheet.check import Severity

PAIRS = ("l1_l2", "l1_n", "l2_n", "l1_g", "l2_g", "n_g")
TEST = TestKind("dead", 10, (asks("proved_before"), *(volts(pair) for pair in PAIRS), asks("proved_after")),
                VOLTMETERS, "CAT III",
                ("line_side_live", "prove_tester", "screen_is_no_test"), alone=True, waived=False)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every panel that the work opens, every other enclosure it works in, every point of work away from both."""
    if facts.changed("service"):
        yield "service"
    yield from facts.worked_in
    yield from facts.pieces
    yield from facts.points


def alarm(facts: Facts, thing: str, readings: Readings) -> Verdict | None:
    """Any voltage at all, whatever else is missing."""
    known = [readings[pair] for pair in PAIRS if readings[pair].known]
    highest = max((each.mean for each in known), default=Decimal(0))
    if highest <= limit("dead_v").value:
        return None
    steps = tuple(read_step(TEST.key, each) for each in known)
    return fails("live", Severity.DANGER, steps=steps, limits=(limit("dead_v"),), found=highest)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """No voltage anywhere; a tester not proved before and after has shown nothing."""
    steps = tuple(read_step(TEST.key, readings[pair]) for pair in PAIRS)
    highest = max((readings[pair].mean for pair in PAIRS), default=Decimal(0))
    used = (limit("dead_v"),)
    if not (readings["proved_before"].yes and readings["proved_after"].yes):
        return fails("not_proved", Severity.DANGER, steps=steps, limits=used)
    return meets(steps=steps, limits=used, found=highest)
