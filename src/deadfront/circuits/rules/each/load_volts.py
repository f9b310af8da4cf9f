"""Volts of a load held against the poles of its breaker: what cannot both be so is a slip of the survey, or worse."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.runs.cases import poles_of
from deadfront.codebook.kinds import load_kinds
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("circuit.load_volts",)
BETWEEN = 150  # volts: above it a load works from leg to leg, below from leg to neutral
TWO_WIRE = 2
ANY_VOLTS = ("other", "appliance")


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each load that its breaker cannot supply as recorded."""
    for circuit in facts.at.house.circuits:
        breaker = facts.breaker_of(circuit)
        if breaker is None or breaker.tied_with is not None:
            continue
        for load in facts.loads_on.get(circuit.id, ()):
            found = _load(facts, circuit, breaker, load)
            if found is not None:
                yield found


def _load(facts: Facts, circuit: Circuit, breaker: Breaker, load: Load) -> Check | None:
    poles, between_legs = poles_of(breaker), _leg_to_leg(load)
    reach = facts.reach_of(circuit, breaker, load)
    if poles == 1 and between_legs:
        which, severity = "one_pole", Severity.CORRECT
    elif poles == TWO_WIRE and between_legs is False and circuit.cable.conductors in (None, TWO_WIRE):
        which, severity = "two_pole", Severity.DANGER
    else:
        return None
    open_: tuple[Missing, ...] = ()
    if load.volts is None:
        what = said("todo.volts", thing=facts.name_of(load, "thing.by_id"))
        open_ += (Missing(facts.at.path(load, "volts"), what, said("todo.how.volts")),)
    if which == "two_pole":  # three insulated conductors may bring a neutral to it
        open_ += facts.missing(circuit, "cable.conductors")
    if not open_:
        return _check(facts, load, reach, Outcome.FAILS, which, severity, ())
    if reach not in TOUCHED:
        return None
    return _check(facts, load, reach, Outcome.CANNOT_TELL, f"{which}_unknown", Severity.CORRECT, open_)


def _leg_to_leg(load: Load) -> bool | None:
    """True for a load from leg to leg, by its marking or its kind; None for one of a kind made for both."""
    if load.volts is not None:
        return load.volts > BETWEEN
    kind = load_kinds().get(load.kind)
    if kind is None or kind.volts_vary or load.kind in ANY_VOLTS:
        return None
    return kind.volts > BETWEEN


def _check(
    facts: Facts, load: Load, reach: Reach, outcome: Outcome, which: str, severity: Severity,
    missing: tuple[Missing, ...],
) -> Check:  # fmt: skip
    say = said(f"check.circuit.load_volts.{which}", name=facts.name_of(load, "thing.by_id"), volts=load.volts or 0)
    remedy = said(f"remedy.circuit.load_volts.{which}") if outcome is Outcome.FAILS else None
    return Check("circuit.load_volts", load.id, outcome, severity, say, reach, None, missing,
                 (facts.cite("listing_and_instructions"),), remedy)  # fmt: skip
