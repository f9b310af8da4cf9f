"""What may be on a circuit with several outlets: its rating, the share of fixed equipment, a single appliance."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.checking import shown, touched, verdict, worst
from deadfront.circuits.rules.runs.current import current_of
from deadfront.circuits.rules.runs.demand import missing_of
from deadfront.circuits.rules.runs.sizing import analysis
from deadfront.quantities import point
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.step import Step

IDS = ("circuit.load",)
LARGEST_GENERAL_A = 20


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each circuit with several outlets that the work touches."""
    for case in facts.cases.values():
        found = load_check(case)
        if found is not None:
            yield found


@lru_cache(maxsize=4096)
def load_check(case: RunCase) -> Check | None:
    """The load of one circuit with several outlets; None for any other."""
    if case.kind != "circuit" or not touched(case) or not (case.general or case.several_receptacles):
        return None
    cites = (case.book.rule("branch_loads").cite, case.book.rule("branch_ratings").cite)
    if case.rating_a is None:
        return verdict(case, "circuit.load", Outcome.CANNOT_TELL, missing=(case.lacks_rating(),), cites=cites)
    if case.rating_a > LARGEST_GENERAL_A:
        return verdict(case, "circuit.load", Outcome.FAILS, which="fails_rating", cites=cites, rating=case.rating_a)
    found = {"fails_total": _total(case), "fails_fastened": _fastened(case), "fails_single": _single(case)}
    outcome = worst(each[0] for each in found.values())
    if outcome is Outcome.NOT_APPLICABLE:
        return None
    which, (_, step) = next((key, each) for key, each in found.items() if each[0] is outcome)
    missing = missing_of(step) if outcome is Outcome.CANNOT_TELL else ()
    return verdict(case, "circuit.load", outcome, which=which if outcome is Outcome.FAILS else "", step=step,
                   missing=missing, cites=cites, rating=case.rating_a, load=shown(step))  # fmt: skip


Found = tuple[Outcome, Step | None]


def _total(case: RunCase) -> Found:
    load = analysis(case).demand.load
    assert case.rating_a is not None
    return (Outcome.NOT_APPLICABLE, None) if load is None else (at_most(load.value, point(case.rating_a)), load)


def _share(case: RunCase, name: str) -> Decimal:
    assert case.rating_a is not None
    return case.rating_a * case.book.value(name).number / 100


def _fastened(case: RunCase) -> Found:
    """Equipment fastened in place takes at most half, where cord-and-plug equipment or lighting is on it too."""
    fixed = [current_of(case, load) for load in case.loads if load.cord_and_plug is False]
    if not fixed:
        return Outcome.NOT_APPLICABLE, None
    total = build.total(f"run/{case.of}/fastened", "run.fastened", fixed, unit="A")
    return at_most(total.value, point(_share(case, "fastened_share_percent"))), total


def _single(case: RunCase) -> Found:
    """One cord-and-plug appliance takes at most 80 percent."""
    corded = [current_of(case, load) for load in case.loads if load.cord_and_plug]
    if not corded:
        return Outcome.NOT_APPLICABLE, None
    largest = build.largest(f"run/{case.of}/corded", "run.corded", corded, unit="A")
    return at_most(largest.value, point(_share(case, "single_appliance_percent"))), largest
