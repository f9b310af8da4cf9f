"""The breaker of a run against the load on it and what the equipment allows."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.checking import shown, touched, verdict, worst
from deadfront.circuits.rules.runs.demand import missing_of
from deadfront.circuits.rules.runs.sizing import analysis
from deadfront.quantities import point
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.cite import Cite

IDS = ("circuit.breaker", "feeder.breaker")
ELSEWHERE = ("evse", "water_heater", "tankless_water_heater")


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each run the work touches that has a load; motors, EVSE and water heaters have their own."""
    for case in facts.cases.values():
        found = breaker_check(case)
        if found is not None:
            yield found


@lru_cache(maxsize=4096)
def breaker_check(case: RunCase) -> Check | None:
    """The breaker of one run; None where nothing is to be said of it."""
    if not touched(case) or case.whole_dwelling:
        return None
    done, ident = analysis(case), f"{case.kind}.breaker"
    demand, one = done.demand, case.alone
    asked = demand.for_breaker
    if demand.sort != "general" or asked is None or (one is not None and one.kind in ELSEWHERE):
        return None
    cites: tuple[Cite, ...] = (
        case.book.rule("branch_protection" if case.kind == "circuit" else "feeder_protection").cite,
        *(cite for step in asked.walk() if step.id.endswith("/motor_adder") for cite in step.cites),
    )
    if case.rating_a is None:
        return verdict(case, ident, Outcome.CANNOT_TELL, missing=(case.lacks_rating(),), cites=cites,
                       least=shown(asked))  # fmt: skip
    rating = point(case.rating_a)
    large = at_most(asked.value, rating)
    small = Outcome.MEETS if done.equipment_allows is None else at_most(rating, done.equipment_allows.value)
    outcome = worst((large, small))
    which = "" if outcome is not Outcome.FAILS else "fails_least" if large is Outcome.FAILS else "fails_most"
    missing = missing_of(asked, done.equipment_allows) if outcome is Outcome.CANNOT_TELL else ()
    return verdict(case, ident, outcome, which=which, step=done.breaker_least, missing=missing, cites=cites,
                   rating=case.rating_a, least=shown(asked), most=shown(done.equipment_allows))  # fmt: skip
