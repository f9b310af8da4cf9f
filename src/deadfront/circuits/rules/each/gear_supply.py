"""The supply of metering and controllable gear: a circuit of its own, and no larger a breaker than it allows."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.tell import WORD, Told, Truth, all_of, distinct
from deadfront.job.found_things import Gear
from deadfront.job.panel_things import Circuit
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Severity

IDS = ("gear.supply",)


def checks(facts: Facts) -> Iterator[Check]:
    """Gear that the work puts in or changes, or whose supply circuit it touches."""
    for gear in facts.at.house.gear:
        circuit = facts.circuits.get(gear.circuit or "")
        reach = facts.reach_of(gear, circuit, facts.breaker_of(circuit) if circuit is not None else None)
        if reach not in TOUCHED:
            continue
        own, size = _own(facts, gear, circuit), _size(facts, gear, circuit)
        truth = all_of((own.truth, size.truth))
        outcome = Outcome.CANNOT_TELL if truth is None else Outcome.MEETS if truth else Outcome.FAILS
        if truth and gear.own_circuit_needed is False and circuit is None:
            outcome = Outcome.NOT_APPLICABLE
        word = "" if truth is not False else "_own" if own.truth is False else "_size"
        breaker = facts.breaker_of(circuit) if circuit is not None else None
        say = said(
            f"check.gear.supply.{WORD[outcome]}{word}", name=facts.name_of(gear, "thing.by_id"),
            rating=breaker.rating_a if breaker is not None else None, most=gear.supply_a,
        )  # fmt: skip
        missing = distinct((*own.lacking, *size.lacking)) if truth is None else ()
        remedy = said("remedy.gear.supply") if truth is False else None
        yield Check("gear.supply", gear.id, outcome, Severity.CORRECT, say, reach, None, missing,
                    (facts.cite("listing_and_instructions"),), remedy)  # fmt: skip


def _own(facts: Facts, gear: Gear, circuit: Circuit | None) -> Told:
    """Whether it has a circuit of its own where its instructions ask for one."""
    if gear.own_circuit_needed is not True:
        needed: Truth = None if gear.own_circuit_needed is None else True
        return Told(needed, facts.missing(gear, "own_circuit_needed"))
    if circuit is None:
        return Told(None, facts.missing(gear, "circuit"))
    others = any(each.circuit == circuit.id and each.id != gear.id for each in facts.at.house.gear)
    if others or facts.loads_on.get(circuit.id) or circuit.purpose not in (None, "individual"):
        return Told(False)
    return Told(True if circuit.purpose == "individual" else None, facts.missing(circuit, "purpose"))


def _size(facts: Facts, gear: Gear, circuit: Circuit | None) -> Told:
    """Whether its breaker is no larger than its instructions allow."""
    if circuit is None:
        return Told(True if gear.own_circuit_needed is False else None, facts.missing(gear, "circuit"))
    breaker = facts.breaker_of(circuit)
    if breaker is None:
        return Told(None, facts.missing(circuit, "breaker"))
    if breaker.rating_a is None or gear.supply_a is None:
        return Told(None, (*facts.missing(breaker, "rating_a"), *facts.missing(gear, "supply_a")))
    return Told(breaker.rating_a <= gear.supply_a)
