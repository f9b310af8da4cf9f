"""No backfeed: service disconnect open and locked, own source running, no voltage between it and what isolates."""

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
TEST = TestKind(
    "backfeed",
    100,
    (
        choice("point", "there is one", "no such point"),
        yes("locked_open"),
        yes("source_running"),
        yes("proved_before", needed=False),
        *(volts(pair, needed=False) for pair in PAIRS),
        yes("proved_after", needed=False),
        Asked("procedure", kind="text", needed=False),
    ),
    VOLTMETERS,
    "CAT III",
    ("backfeed", "several_sources", "prove_tester"),
    ("bus_voltage",),
)


def due(facts: Facts) -> Iterator[str]:
    """At every source but the utility."""
    yield from (each.id for each in facts.at.house.sources)


def alarm(facts: Facts, thing: str, readings: Readings) -> Verdict | None:
    """Any voltage toward the service, whatever else is missing."""
    known = [readings[pair] for pair in PAIRS if readings[pair].known]
    highest = max((each.mean for each in known), default=Decimal(0))
    if highest <= limit("dead_v").value or readings["locked_open"].yes is False:
        return None
    steps = tuple(read_step(TEST.key, each) for each in known)
    return fails("fed_back", Severity.DANGER, steps=steps, limits=(limit("dead_v"),), found=highest)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Nothing between the open disconnect and the isolating device; where no such point is, this cannot tell."""
    if readings["point"].choice != "there is one":
        done = readings["procedure"]
        return meets("by_procedure", procedure=done.choice) if done.known else unclear("no_point")
    if any(not readings[key].known for key in (*PAIRS, "proved_after")):
        return unclear("pairs")
    if not (readings["locked_open"].yes and readings["source_running"].yes):
        return unclear("not_set_up")
    steps, used = tuple(read_step(TEST.key, readings[pair]) for pair in PAIRS), (limit("dead_v"),)
    highest = max(readings[pair].mean for pair in PAIRS)
    if not (readings["proved_before"].yes and readings["proved_after"].yes):
        return unclear("not_proved", steps=steps, limits=used)
    return meets(steps=steps, limits=used, found=highest)
