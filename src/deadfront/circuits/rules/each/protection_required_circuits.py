"""Branch circuits that a dwelling must have, counted for new dwellings; and each new one of these kinds."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.tell import WORD, Told, Truth, all_of, any_of, distinct, in_force
from deadfront.job.load_things import Unit
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.msg import said
from deadfront.quantities import Interval
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("protection.required_circuits", "protection.required_circuit_outlets")
RULES = {
    "small appliance": "small_appliance_branch_circuits",
    "laundry": "laundry_branch_circuit",
    "bathroom": "bathroom_branch_circuit",
    "garage": "garage_branch_circuit",
}  # fmt: skip


def checks(facts: Facts) -> Iterator[Check]:
    """The count in a new dwelling; then each new circuit of such a purpose by its rating and its rooms."""
    units = facts.at.house.units
    new = units if facts.existing is False else tuple(each for each in units if facts.at.tag(each.id) == "N")
    for purpose, rule in RULES.items():
        if new and in_force(facts.book, rule):
            yield from _count(facts, purpose, rule, new)
    for circuit in facts.at.house.circuits:
        rule = RULES.get(circuit.purpose or "", "")
        if rule and facts.at.tag(circuit.id) == "N" and in_force(facts.book, rule):
            yield _one(facts, circuit, rule)


def _count(facts: Facts, purpose: str, rule: str, units: tuple[Unit, ...]) -> Iterator[Check]:
    """Circuits of a purpose and rating against those wanted; what is not known of circuits widens the count."""
    params: Any = facts.book.rule(rule).params
    asked = _garage(facts, units) if purpose == "garage" else Told(True)
    if asked.truth is False:
        return
    wanted = params["min"] * sum(each.count for each in units)
    pool = facts.at.house.circuits
    if facts.existing is not False:
        pool = tuple(each for each in pool if facts.at.tag(each.id) == "N")
    truths = tuple(_serves(facts, each, purpose, params["rating_a"]) for each in pool)
    low = Decimal(sum(each is True for each in truths))
    complete = facts.at.house.complete.circuits == "yes"
    high = low + sum(each is None for each in truths) if complete else None
    count = Interval(low, high)
    if asked.truth is None and low < wanted:
        outcome = Outcome.CANNOT_TELL
    elif low >= wanted:
        outcome = Outcome.MEETS
    else:
        outcome = Outcome.FAILS if high is not None and high < wanted else Outcome.CANNOT_TELL
    missing: tuple[Missing, ...] = ()
    if outcome is Outcome.CANNOT_TELL:
        unclear = (each for each, truth in zip(pool, truths, strict=True) if truth is None)
        missing = distinct((*asked.lacking, *(m for each in unclear for m in _circuit_missing(facts, each))))
        if not complete:
            missing += (Missing("before/complete.circuits", said("todo.circuits.circuits_listed"),
                                said("todo.how.circuits.circuits_listed")),)  # fmt: skip
    word = rule.removesuffix("_branch_circuits").removesuffix("_branch_circuit")
    step = build.fact(f"required/{word}", f"protection.required.{word}", count, "", "before/complete.circuits")
    say = said(f"check.protection.required_circuits.{WORD[outcome]}", purpose=said(f"purpose.{word}"),
               found=count, wanted=wanted, rating=params["rating_a"])  # fmt: skip
    remedy = said("remedy.protection.required_circuits") if outcome is Outcome.FAILS else None
    yield Check("protection.required_circuits", units[0].id if len(units) == 1 else "", outcome, Severity.CORRECT,
                say, Reach.NEW, step, missing, (facts.cite(rule),), remedy)  # fmt: skip


def _garage(facts: Facts, units: tuple[Unit, ...]) -> Told:
    """Whether there is a garage with power: as entered, else where any circuit or outlet is in one."""
    there = any("garage" in each.rooms for each in facts.at.house.circuits)
    there = there or any(each.room == "garage" for each in facts.at.house.outlets)
    truth = True if there else any_of(each.garage for each in units)
    return Told(truth, tuple(m for each in units for m in facts.missing(each, "garage")) if truth is None else ())


def _serves(facts: Facts, circuit: Circuit, purpose: str, rating_a: Decimal) -> Truth:
    breaker = facts.breaker_of(circuit)
    serves: Truth = None if circuit.purpose is None else circuit.purpose == purpose
    rated: Truth = None if breaker is None or breaker.rating_a is None else breaker.rating_a == rating_a
    return all_of((serves, rated))


def _circuit_missing(facts: Facts, circuit: Circuit) -> Iterator[Missing]:
    yield from facts.missing(circuit, "purpose", "breaker")
    breaker = facts.breaker_of(circuit)
    if breaker is not None:
        yield from facts.missing(breaker, "rating_a")


def _one(facts: Facts, circuit: Circuit, rule: str) -> Check:
    """One new circuit of such a purpose: its rating, and that it serves no other rooms."""
    params: Any = facts.book.rule(rule).params
    breaker: Breaker | None = facts.breaker_of(circuit)
    rated: Truth = None if breaker is None or breaker.rating_a is None else breaker.rating_a == params["rating_a"]
    alone: Truth = all(each in params["rooms"] for each in circuit.rooms) if circuit.rooms else None
    truth = all_of((rated, alone))
    outcome = Outcome.CANNOT_TELL if truth is None else Outcome.MEETS if truth else Outcome.FAILS
    word = "rating" if rated is False else "rooms" if alone is False else ""
    say = said(
        f"check.protection.required_circuit_outlets.{WORD[outcome]}{'_' if word else ''}{word}",
        name=facts.name_of(circuit, "thing.by_id"), rating=params["rating_a"],
    )  # fmt: skip
    missing: tuple[Missing, ...] = ()
    if outcome is Outcome.CANNOT_TELL:
        missing = (*_circuit_missing(facts, circuit), *facts.missing(circuit, "rooms"))
    remedy = said("remedy.protection.required_circuit_outlets") if outcome is Outcome.FAILS else None
    return Check("protection.required_circuit_outlets", circuit.id, outcome, Severity.CORRECT, say, Reach.NEW, None,
                 missing, (facts.cite(rule),), remedy)  # fmt: skip
