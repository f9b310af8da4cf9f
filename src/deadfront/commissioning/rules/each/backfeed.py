"""No backfeed: service disconnect open and locked, own source running, no voltage between it and what isolates."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
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
    volts,
    yes,
)
from deadfront.worksheet.check import Severity

PAIRS = ("l1_l2", "l1_n", "l2_n", "l1_g", "l2_g")
TEST = TestKind("backfeed", 100, (choice("point", "there is one", "no such point"), yes("locked_open"),
                yes("source_running"), yes("proved_before"), *(volts(pair) for pair in PAIRS), yes("proved_after")),
                ("voltage tester", "multimeter"), "CAT III", ("backfeed", "several_sources", "prove_tester"),
                ("bus_voltage",))  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every source but the utility."""
    yield from (each.id for each in facts.at.house.sources)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Nothing between the open disconnect and the isolating device; where no such point is, this cannot tell."""
    if readings["point"].choice != "there is one":
        return unclear("no_point")
    if not (readings["locked_open"].yes and readings["source_running"].yes):
        return unclear("not_set_up")
    steps, used = tuple(read_step(TEST.key, readings[pair]) for pair in PAIRS), (limit("dead_v"),)
    highest = max(readings[pair].mean for pair in PAIRS)
    if highest > limit("dead_v").value:
        return fails("fed_back", Severity.DANGER, steps=steps, limits=used, found=highest)
    if not (readings["proved_before"].yes and readings["proved_after"].yes):
        return unclear("not_proved", steps=steps, limits=used)
    return meets(steps=steps, limits=used, found=highest)
