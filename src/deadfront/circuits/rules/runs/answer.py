"""Every run of a house, worked through: branch circuits and feeders as kept cases, the service by the load stage."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.ground import grounds_of
from deadfront.circuits.rules.runs.sizing import analysis
from deadfront.codebook.conductors import sizes_of
from deadfront.codebook.lookup import ampacity, dwelling_size
from deadfront.errors import OutOfTable
from deadfront.msg import said
from deadfront.quantities import dec
from deadfront.results.circuits import Run, Sized
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, Reach
from deadfront.worksheet.step import Step

OF_THE_SERVICE = ("load.service_conductors", "load.parallel_conductors")
"""Checks of the load stage on the service conductors: one that fails belongs to their row."""


def runs_of(facts: Facts) -> tuple[Run, ...]:
    """Every branch circuit, every feeder, the service."""
    made = [run_of(case) for case in facts.cases.values()]
    made = [_with_whole_load(facts, run) if facts.cases[run.of].whole_dwelling else run for run in made]
    return (*made, service_run(facts))


@lru_cache(maxsize=4096)
def run_of(case: RunCase) -> Run:
    """One run worked through."""
    done = analysis(case)
    rating = None
    if case.breaker is not None and case.breaker.rating_a is not None:
        path = f"{case.breaker.root}.rating_a"
        rating = build.fact(f"run/{case.of}/rating", "run.rating", case.breaker.rating_a, "A", path)
    volts = None if case.volts is None else build.given(f"run/{case.of}/volts", "run.volts", case.volts, "V", None)
    return Run(
        case.of, case.kind, case.said_name, "" if case.breaker is None else case.breaker.id, volts, done.demand.load,
        done.demand.least, rating, done.ampacity, done.breaker_least, done.breaker_most, done.smallest,
        grounds_of(case), reach=case.reach,
    )  # fmt: skip


def _relied(facts: Facts) -> Step | None:
    """The calculated load of the house [A], by the method relied on."""
    method = facts.load.method(facts.load.relied)
    return None if method is None else method.amperes


def _with_whole_load(facts: Facts, run: Run) -> Run:
    """A feeder that carries the whole dwelling has the dwelling's calculated load."""
    load = _relied(facts)
    return run if load is None else replace(run, load=load, least=load)


def service_run(facts: Facts) -> Run:
    """The service, by what the load stage found of it."""
    parts = {part.id: part for part in facts.load.limit.parts}
    rating, load = parts.get("service/disconnect"), _relied(facts)
    rating = None if rating is None or rating.value.low == 0 else rating
    ampacity = parts.get("service/conductors")
    volts = None
    if facts.at.house.service.system is not None:
        wye = facts.at.house.service.system.startswith("208")
        volts = facts.given("run/service/volts", "nominal_volts_208" if wye else "nominal_volts_240")
    reach = Reach.REPLACED if "service" in facts.at.changed else Reach.EXISTING
    bad = tuple(c for c in facts.load.checks if c.id in OF_THE_SERVICE and c.outcome is Outcome.FAILS)
    return Run("service", "service", said("run.service"), "", volts, load, load, rating, ampacity, facts.load.minimum,
               None, _service_smallest(facts, rating), reach=reach, checks=bad)  # fmt: skip


def _service_smallest(facts: Facts, rating: Step | None) -> tuple[Sized, ...]:
    """Smallest service conductors of one dwelling by the 83 percent table; none where it does not reach."""
    system, units = facts.at.house.service.system, facts.at.house.units
    if rating is None or sum(unit.count for unit in units) != 1 or facts.book.barred("service_conductors_83"):
        return ()
    if system != "120/240 1ph 3w" and not (
        system == "208Y/120 1ph 3w" and facts.book.rule("service_conductors_83").params.get("two_legs_of_wye")
    ):
        return ()
    found = []
    for metal in ("copper", "aluminum"):
        try:
            size = dwelling_size(facts.book, dec(rating.value.low), metal)
        except OutOfTable:
            between = _between_rows(facts, rating, metal)
            found += [] if between is None else [between]
            continue
        name = said("run.service_size", size=size.value)
        step = build.lookup(f"run/service/smallest/{metal}", name, rating.value.low, "A", size.cite,
                            table="dwelling_service_conductors", row=size.row)  # fmt: skip
        found.append(Sized(size.value, metal, step))
    return tuple(found)


def _between_rows(facts: Facts, rating: Step, metal: str) -> Sized | None:
    """Smallest conductor of 83 percent of a rating without a row of its own (320 A); None beyond the rule."""
    book = facts.book
    low, high = (book.value(f"service_conductor_{end}_a").number for end in ("from", "upto"))
    if not low <= rating.value.low <= high:
        return None
    percent = book.value("service_conductor_percent")
    ident = f"run/service/smallest/{metal}"
    share = build.percent_of(f"{ident}/share", "run.share_83", rating, percent.number, unit="A", cite=percent.cite)
    for size in sizes_of(book, metal):
        carried = ampacity(book, size, metal, 75)
        if carried.value >= share.value.low:
            step = build.lookup(ident, said("run.service_size", size=size), carried.value, "A", carried.cite,
                                table="conductor_ampacity", row=carried.row, args=(share,))  # fmt: skip
            return Sized(size, metal, step)
    return None
