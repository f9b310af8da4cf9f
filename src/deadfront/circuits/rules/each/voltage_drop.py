"""Voltage drop held against what the code's notes recommend: a recommendation, never a requirement."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.flows.drop_steps import BREAKER_80
from deadfront.job.panel_things import Circuit, Panel
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, point
from deadfront.results.circuits import Drop
from deadfront.worksheet.check import Check, Outcome, Reach, Severity, at_most

IDS = ("circuit.voltage_drop",)


def checks(facts: Facts) -> Iterator[Check]:
    """One note for each circuit and feeder that the work touches."""
    circuits = {each.id: each for each in facts.at.house.circuits}
    for drop in facts.drops:
        thing: Circuit | Panel | None = circuits.get(drop.of) or facts.panels.get(drop.of)
        if thing is None:
            continue
        breaker = facts.breakers.get((thing.breaker if isinstance(thing, Circuit) else thing.fed_by) or "")
        reach = facts.reach_of(thing, breaker)
        if reach in TOUCHED:
            yield _check(facts, drop, thing, reach)


def _check(facts: Facts, drop: Drop, thing: Circuit | Panel, reach: Reach) -> Check:
    branch, total = (facts.book.value(f"voltage_drop_{part}_percent") for part in ("branch", "total"))
    here = at_most(drop.here.value, point(branch.number))
    whole = at_most(UNKNOWN if drop.all_along is None else drop.all_along.value, point(total.number))
    outcome = _worse(here, whole)
    shown = drop.all_along if here is Outcome.MEETS and drop.all_along is not None else drop.here
    basis = "basis" if BREAKER_80 in drop.here.all_assumed() else "load"
    key = f"check.circuit.voltage_drop.{outcome.name.lower()}_{basis}"
    missing = (*drop.here.all_missing(), *(drop.all_along.all_missing() if drop.all_along is not None else ()))
    rule = "voltage_drop" if isinstance(thing, Circuit) else "voltage_drop_feeder"
    return Check(
        "circuit.voltage_drop", thing.id, outcome, Severity.NOTE,
        said(key, thing=facts.name_of(thing, "thing.by_id"), here=drop.here.value, most=branch.number,
             total=UNKNOWN if drop.all_along is None else drop.all_along.value, most_total=total.number),
        reach, shown, tuple({m.path: m for m in missing}.values()) if outcome is Outcome.CANNOT_TELL else (),
        (facts.cite(rule), branch.cite), said("remedy.circuit.voltage_drop"),
    )  # fmt: skip


def _worse(first: Outcome, second: Outcome) -> Outcome:
    """Not met if either is not met, met only if both are."""
    for outcome in (Outcome.FAILS, Outcome.CANNOT_TELL):
        if outcome in (first, second):
            return outcome
    return Outcome.MEETS
