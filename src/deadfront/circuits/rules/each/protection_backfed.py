"""Breakers fed from their load side are held down by more than their clips."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.tell import WORD
from deadfront.job.panel_things import Breaker
from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Severity

IDS = ("protection.backfed",)


def checks(facts: Facts) -> Iterator[Check]:
    """Breakers of sources, and any breaker known to be fed from its load side and not held down."""
    sources = {each.breaker: each for each in facts.at.house.sources if each.breaker is not None}
    for breaker in facts.at.house.breakers:
        source = sources.get(breaker.id)
        if source is not None or breaker.role == "source" or breaker.held_down is False:
            yield from _check(facts, breaker, source)


def _check(facts: Facts, breaker: Breaker, source: Source | None) -> Iterator[Check]:
    reach = facts.reach_of(breaker, source)
    interactive = source is not None and source.kind == "solar"
    cites = [facts.cite("backfed_fastening")]
    missing = facts.missing(breaker, "held_down")
    outcome = Outcome.CANNOT_TELL if breaker.held_down is None else Outcome.MEETS
    word = ""
    if breaker.held_down is False:
        outcome = Outcome.FAILS
    if interactive and breaker.held_down is not True:
        if facts.book.has("backfed_interactive"):
            outcome, word = Outcome.NOT_APPLICABLE, ""
            cites.append(facts.cite("backfed_interactive"))
        else:
            outcome, word = Outcome.CANNOT_TELL, "_interactive"
    if outcome is Outcome.CANNOT_TELL and reach not in TOUCHED:
        return
    say = said(f"check.protection.backfed.{WORD[outcome]}{word}", name=facts.name_of(breaker, "thing.by_id"))
    remedy = said("remedy.protection.backfed") if outcome is Outcome.FAILS or word else None
    yield Check("protection.backfed", breaker.id, outcome, Severity.DANGER if outcome is Outcome.FAILS else
                Severity.CORRECT, say, reach, None, missing if outcome is Outcome.CANNOT_TELL else (), tuple(cites),
                remedy)  # fmt: skip
