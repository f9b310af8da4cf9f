"""A generator, inlet or vehicle that feeds a panel is kept from the utility by an interlock or transfer equipment."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.tell import WORD
from deadfront.job.panel_things import Breaker
from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Severity

IDS = ("protection.kept_apart",)
STANDBY = ("generator", "inlet", "vehicle")


def checks(facts: Facts) -> Iterator[Check]:
    """Every breaker that brings a source into a panel, old or new: a line worker can die of it.

    One whose source is not on file is asked about too: it may be a generator.
    """
    sources = {each.breaker: each for each in facts.at.house.sources if each.breaker is not None}
    for breaker in facts.at.house.breakers:
        source = sources.get(breaker.id)
        if source.kind in STANDBY if source is not None else breaker.role == "source":
            yield _check(facts, breaker, source)


def _check(facts: Facts, breaker: Breaker, source: Source | None) -> Check:
    apart, name = _apart(facts, breaker), facts.name_of(breaker, "thing.by_id")
    outcome = Outcome.CANNOT_TELL if apart is None else Outcome.MEETS if apart else Outcome.FAILS
    what = said(f"source_kind.{source.kind if source is not None else 'unnamed'}")
    return Check("protection.kept_apart", breaker.id, outcome, Severity.DANGER,
                 said(f"check.protection.kept_apart.{WORD[outcome]}", name=name, source=what),
                 facts.reach_of(breaker, source), None, facts.missing(breaker, "kept_apart") if apart is None else (),
                 (facts.cite("transfer_equipment"),),
                 None if apart else said("remedy.protection.kept_apart"))  # fmt: skip


def _apart(facts: Facts, breaker: Breaker) -> bool | None:
    """As seen at the breaker; else by the interlock or transfer equipment on file that holds it and the main."""
    if breaker.kept_apart is not None:
        return breaker.kept_apart
    mains = {"service", *(each.id for each in facts.at.house.breakers if each.role == "main")}
    holding = [t for t in facts.at.house.transfers if breaker.id in t.held_apart and mains & set(t.held_apart)]
    return True if any(each.excludes for each in holding) else None
