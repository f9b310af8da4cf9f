"""Conductors of branch circuits and feeders: they carry what is on them, and their breaker protects them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.ampacity import lacking, metals_of
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.checking import shown, size_of, touched, verdict, worst
from deadfront.circuits.rules.runs.demand import missing_of
from deadfront.circuits.rules.runs.sizing import Analysis, analysis
from deadfront.codebook.conductors import small_conductor_rating
from deadfront.quantities import point
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Severity, at_most
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.step import Step

IDS = ("circuit.conductor", "feeder.conductor")


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each run whose conductors the work touches, or whose breaker lets through more than they carry."""
    for case in facts.cases.values():
        found = conductor_check(case)
        if found is not None:
            yield found


@lru_cache(maxsize=4096)
def conductor_check(case: RunCase) -> Check | None:
    """The conductors of one run; None where nothing is to be said of them."""
    done, ident = analysis(case), f"{case.kind}.conductor"
    protects = _protected(case, done)
    if protects is Outcome.FAILS:
        return verdict(case, ident, Outcome.FAILS, Severity.DANGER, which="fails_breaker", step=done.conductors_allow,
                       cites=_cites(case), size=size_of(case), rating=case.rating_a,
                       most=_at_most(done.conductors_allow))  # fmt: skip
    small = _past_small(case, done)
    if small is not None:
        return verdict(case, ident, Outcome.FAILS, Severity.DANGER, which="fails_breaker", step=small,
                       cites=small.cites, size=size_of(case), rating=case.rating_a, most=small.value)  # fmt: skip
    if not touched(case):
        return None
    if done.out_of_table is not None:
        return verdict(case, ident, Outcome.CANNOT_TELL, which="out_of_table", missing=(case.lacks("type"),),
                       why=done.out_of_table)  # fmt: skip
    lacks = lacking(case) + ((case.lacks_rating(),) if case.rating_a is None else ())
    outcome = worst((protects, _carries(case, done), Outcome.CANNOT_TELL if lacks else Outcome.MEETS))
    if outcome is Outcome.FAILS:
        severity = Severity.CORRECT if done.demand.sort == "general" else Severity.DANGER
        return verdict(case, ident, outcome, severity, which="fails_load", step=done.ampacity, cites=_cites(case),
                       size=size_of(case), carries=shown(done.ampacity), least=shown(done.demand.least))  # fmt: skip
    if outcome is Outcome.CANNOT_TELL:
        missing = [*lacks, *missing_of(done.ampacity, done.demand.load, done.demand.least, done.conductors_allow)]
        if not missing:
            missing.append(case.lacks_loads() if case.kind == "feeder" else case.lacks_outlets())
        return verdict(case, ident, outcome, missing=dict.fromkeys(missing), step=done.ampacity, cites=_cites(case))
    return verdict(case, ident, outcome, step=done.ampacity, cites=_cites(case), size=size_of(case),
                   carries=shown(done.ampacity), rating=case.rating_a)  # fmt: skip


def _protected(case: RunCase, done: Analysis) -> Outcome:
    """Whether the breaker is no larger than the conductors allow; motors have rules of their own."""
    if done.demand.sort != "general":
        return Outcome.NOT_APPLICABLE
    if done.conductors_allow is None or case.rating_a is None:
        return Outcome.CANNOT_TELL
    return at_most(point(case.rating_a), done.conductors_allow.value)


def _past_small(case: RunCase, done: Analysis) -> Step | None:
    """The limit of a small conductor that its breaker passes, whatever the cable is; None where it passes none."""
    size, plain = case.cable.size, done.demand.sort == "general" and (case.cable.sets or 1) == 1
    if size is None or case.rating_a is None or not plain:
        return None
    best = metals_of(case)[1]
    found = small_conductor_rating(case.book, size, best)
    if found is None or case.rating_a <= found.value:
        return None
    return build.lookup(f"run/{case.of}/small", "run.small_conductor", found.value, "A", found.cite,
                        table="small_conductor_protection", row=found.row)  # fmt: skip


def _carries(case: RunCase, done: Analysis) -> Outcome:
    """Whether they carry the load: with its continuous part before correction, as it is after."""
    demand = done.demand
    if case.whole_dwelling:
        return Outcome.NOT_APPLICABLE
    if demand.least is None or demand.load is None or (case.kind == "feeder" and demand.load.value.high is None):
        return _carries_its_breaker(case, done)
    if done.before is None or done.ampacity is None:
        return Outcome.CANNOT_TELL
    after = demand.load if demand.sort == "general" else demand.least  # motors: 125 percent of it, corrected
    return worst((at_most(demand.least.value, done.before.value), at_most(after.value, done.ampacity.value)))


def _carries_its_breaker(case: RunCase, done: Analysis) -> Outcome:
    """The load is not known: they carry whatever it is if they carry all that the breaker lets through."""
    if done.ampacity is None or case.rating_a is None:
        return Outcome.NOT_APPLICABLE
    enough = done.ampacity.value.low >= case.rating_a or done.demand.sort != "general"
    return Outcome.NOT_APPLICABLE if enough else Outcome.CANNOT_TELL


def _at_most(step: Step | None) -> object:
    """The upper end of what conductors allow, which the breaker passes."""
    return shown(step) if step is None or step.value.high is None else point(step.value.high)


def _cites(case: RunCase) -> tuple[Cite, ...]:
    rules = ("branch_conductors",) if case.kind == "circuit" else ("feeder_conductors",)
    return tuple(case.book.rule(rule).cite for rule in (*rules, "conductor_protection"))
