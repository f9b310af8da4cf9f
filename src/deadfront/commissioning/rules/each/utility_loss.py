"""Loss of the utility with a source that runs beside it: it ceases, or islands by its isolation device."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import (
    Readings,
    TestKind,
    Verdict,
    choice,
    fails,
    meets,
    read_step,
    seconds,
    unclear,
)
from deadfront.job.source_things import Source
from deadfront.worksheet.check import Severity

TEST = TestKind("utility_loss", 108, (choice("does", "ceases", "islands", "keeps on"), seconds("within_s"),
                seconds("listed_s", needed=False), choice("returns", "yes", "no")), cautions=("several_sources",),
                before=("backfeed",))  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At sun, battery and vehicle."""
    yield from (each.id for each in facts.at.house.sources if each.kind in ("solar", "battery", "vehicle"))


def alarm(facts: Facts, thing: str, readings: Readings) -> Verdict | None:
    """One that keeps on, whatever else is missing."""
    return fails("keeps_on", Severity.DANGER) if readings["does"].choice == "keeps on" else None


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """As its listing says; one that keeps on feeds a line that people work on."""
    source, steps = facts.things.get(thing), (read_step(TEST.key, readings["within_s"]),)
    if readings["does"].choice == "islands" and isinstance(source, Source) and source.grid_forming is False:
        return fails("cannot_island", Severity.DANGER, steps=steps)
    listed = readings["listed_s"]
    if readings["does"].choice == "islands" and not (isinstance(source, Source) and source.grid_forming):
        return unclear("islands_unknown", steps=steps)
    if not listed.known:
        return unclear("no_listing", steps=steps)
    if readings["within_s"].mean > listed.mean:
        return fails("slow", Severity.DANGER, steps=steps, found=readings["within_s"].mean, most=listed.mean)
    if readings["returns"].choice != "yes":
        return fails("no_return", steps=steps)
    return meets(steps=steps, found=readings["within_s"].mean)
