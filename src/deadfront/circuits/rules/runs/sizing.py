"""A run worked through: its load, its breaker at least and at most, its conductors, the smallest that work."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from deadfront.circuits.rules.runs.ampacity import (
    ampacity_steps,
    before_correction,
    carried,
    in_place,
)
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.conditions import Conditions, Surroundings, surroundings
from deadfront.circuits.rules.runs.demand import Demand, demand_of, upper
from deadfront.circuits.rules.runs.limits import (
    SMALLEST_BREAKER_A,
    conductors_allow,
    equipment_allows,
    most_over,
    next_size_allowed,
)
from deadfront.codebook.conductors import sizes_of
from deadfront.codebook.lookup import standard_ratings
from deadfront.errors import OutOfTable
from deadfront.msg import Msg
from deadfront.quantities import ZERO, size_rank
from deadfront.results.circuits import Sized
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

METALS = ("copper", "aluminum")
PARALLEL_FROM = "1/0"
NM_CABLE = "nm_b_cable"


@dataclass(frozen=True, slots=True)
class Analysis:
    """A run worked through once.

    Args:
        demand: The load on it.
        around: What surrounds its conductors; None where their type is not one of the table.
        before: What counts before correction [A].
        ampacity: What the conductors in place may carry [A].
        breaker_least, breaker_most: Standard ratings it may have [A].
        conductors_allow, equipment_allows: What makes the most [A].
        smallest: Smallest that works, copper, then aluminum.
        out_of_table: Why the conductors in place cannot be found.
    """

    demand: Demand
    around: Surroundings | None
    before: Step | None = None
    ampacity: Step | None = None
    breaker_least: Step | None = None
    breaker_most: Step | None = None
    conductors_allow: Step | None = None
    equipment_allows: Step | None = None
    smallest: tuple[Sized, ...] = ()
    out_of_table: Msg | None = None


@lru_cache(maxsize=4096)
def analysis(case: RunCase) -> Analysis:
    """A run worked through."""
    demand = demand_of(case)
    breaker_least = _breaker_least(case, demand)
    equipment = equipment_allows(case, demand)
    try:
        around = surroundings(case)
        before, ampacity = in_place(case, around, "before"), in_place(case, around, "ampacity")
    except OutOfTable as error:
        return Analysis(demand, None, None, None, breaker_least, equipment, None, equipment, (), error.msg)
    allow = None
    if ampacity is not None and demand.sort == "general":
        allow = conductors_allow(case, around, ampacity)
    most = [step for step in (allow, equipment) if step is not None]
    breaker_most = build.least(f"run/{case.of}/breaker_most", "run.breaker_most", most, unit="A") if most else None
    smallest = tuple(found for metal in METALS if (found := smallest_of(case, demand, around, metal)) is not None)
    return Analysis(demand, around, before, ampacity, breaker_least, breaker_most, allow, equipment, smallest)


def _breaker_least(case: RunCase, demand: Demand) -> Step | None:
    """The smallest standard breaker for the load [A]."""
    asked = demand.for_breaker
    if asked is None or asked.value.high is None or demand.sort == "motor":
        return None  # 125 percent is asked of a motor's conductors, not of its breaker
    rule = "branch_protection" if case.kind == "circuit" else "feeder_protection"
    cites = (case.book.rule(rule).cite, case.book.rule("breaker_standard").cite)
    ratings = [each for each in standard_ratings(case.book) if each >= SMALLEST_BREAKER_A]
    return build.next_standard(f"run/{case.of}/breaker_least", "run.breaker_least", asked, ratings, cite=cites)


def wanted_rating(case: RunCase, demand: Demand) -> Decimal | None:
    """The breaker that conductors are sized for [A]: the one there, else the smallest for the load."""
    if case.rating_a is not None:
        return case.rating_a
    least = _breaker_least(case, demand)
    return None if least is None else least.value.high


def works(case: RunCase, demand: Demand, size: str, metal: str, at: Conditions) -> bool:
    """Whether a conductor works: its column before correction, its ampacity after, and its breaker over it."""
    sets = case.cable.sets or 1
    if sets > 1 and size_rank(size) < size_rank(PARALLEL_FROM):
        return False
    try:
        before, after = before_correction(case.book, size, metal, at), carried(case.book, size, metal, at)
    except OutOfTable:
        return False
    if demand.least is not None and demand.load is not None and not case.whole_dwelling:
        if demand.least.value.high is None:
            return False
        if demand.sort != "general" and after * sets < upper(demand.least.value):
            return False
        if before * sets < upper(demand.least.value) or after * sets < upper(demand.load.value):
            return False
    if demand.sort != "general":
        return demand.least is not None and after > ZERO
    rating = wanted_rating(case, demand)
    if rating is None:
        return False
    return rating <= most_over(case, after * sets, size, metal, up=next_size_allowed(case) is True)


def smallest_of(case: RunCase, demand: Demand, around: Surroundings, metal: str) -> Sized | None:
    """The smallest conductor of a metal that works under the worst conditions there may be; None where none does."""
    at, assumed = around.worst, around.assumed
    if case.cable.type is None:
        at, assumed = replace(at, insulation_c=90, limit_c=60), (*assumed, NM_CABLE)
    for size in sizes_of(case.book, metal):
        if works(case, demand, size, metal, at):
            ident = f"run/{case.of}/smallest/{metal}"
            step = ampacity_steps(case, ident, size, metal, at, assumed)
            return Sized(size, metal, step, case.cable.sets or 1)
    return None
