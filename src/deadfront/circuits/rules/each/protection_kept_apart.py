"""A generator, inlet or vehicle that feeds a panel is kept from the utility by an interlock or transfer equipment."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.tell import WORD
from deadfront.job.interlocks import handles_together
from deadfront.job.panel_things import Breaker
from deadfront.job.source_things import Source, Transfer
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Severity

IDS = ("protection.kept_apart",)
ENGINES = ("generator", "inlet")
STANDBY = (*ENGINES, "vehicle")


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
    apart, name = _apart(facts, breaker, source), facts.name_of(breaker, "thing.by_id")
    outcome = Outcome.CANNOT_TELL if apart is None else Outcome.MEETS if apart else Outcome.FAILS
    what = said(f"source_kind.{source.kind if source is not None else 'unnamed'}")
    return Check("protection.kept_apart", breaker.id, outcome, Severity.DANGER,
                 said(f"check.protection.kept_apart.{WORD[outcome]}", name=name, source=what),
                 facts.reach_of(breaker, source), None, facts.missing(breaker, "kept_apart") if apart is None else (),
                 (facts.cite("transfer_equipment"),),
                 None if apart else said("remedy.protection.kept_apart"))  # fmt: skip


def _apart(facts: Facts, breaker: Breaker, source: Source | None) -> bool | None:
    """As seen at the breaker; else by what is on file of interlocks and transfer equipment that hold it and the main.

    Where all transfer equipment is listed and none names the breaker of an engine, nothing keeps it apart.
    """
    house = facts.at.house
    told = [_holds(facts, each) for each in house.transfers if breaker.id in (*each.held_apart, *each.alternate)]
    if told and set(told) == {False}:
        return False  # whatever was seen at the breaker: what is on file cannot hold it
    if breaker.kept_apart is not None:
        return breaker.kept_apart
    if told:
        return True if True in told else None
    vague = any(each.kind == "interlock" and not each.held_apart for each in house.transfers)
    engine = source is not None and source.kind in ENGINES and not source.interactive
    return False if engine and house.complete.transfers == "yes" and not vague else None


def _holds(facts: Facts, transfer: Transfer) -> bool | None:
    """Whether transfer equipment that names the breaker keeps it from the main."""
    if transfer.excludes is False or transfer.listed is False:
        return False
    if transfer.kind != "interlock":
        return transfer.excludes
    mains = {"service", *(each.id for each in facts.at.house.breakers if each.role == "main")}
    if transfer.held_apart and not mains & set(transfer.held_apart):
        return False
    reached = handles_together(facts.at.house, transfer).truth if transfer.held_apart else None
    return False if reached is False else True if reached and transfer.excludes else None
