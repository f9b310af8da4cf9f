"""Circuits below 15 A: none before 2023; from then 10 A, without receptacles."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.tell import WORD, Told
from deadfront.circuits.rules.protect.work import REACH, wiring
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Severity

IDS = ("protection.ten_ampere",)
USUAL_LEAST_A = 15


def checks(facts: Facts) -> Iterator[Check]:
    """Circuits that the work touches and whose breaker is rated below 15 A."""
    for circuit in facts.at.house.circuits:
        breaker = facts.breaker_of(circuit)
        if breaker is None or breaker.rating_a is None or breaker.rating_a >= USUAL_LEAST_A:
            continue
        if REACH[wiring(facts, circuit, breaker)] in TOUCHED:
            yield _check(facts, circuit, breaker)


def _check(facts: Facts, circuit: Circuit, breaker: Breaker) -> Check:
    least_a: Any = facts.book.rule("branch_circuit_ratings").params["least_a"]
    told, word = _receptacles(facts, circuit), ""
    if (breaker.rating_a or 0) < least_a:
        outcome, word = Outcome.FAILS, "_rating"
    elif told.truth is None:
        outcome = Outcome.CANNOT_TELL
    else:
        outcome = Outcome.FAILS if told.truth else Outcome.MEETS
    say = said(f"check.protection.ten_ampere.{WORD[outcome]}{word}", least=least_a,
               name=facts.name_of(circuit, "thing.by_id"), rating=breaker.rating_a)  # fmt: skip
    remedy = said("remedy.protection.ten_ampere") if outcome is Outcome.FAILS else None
    return Check("protection.ten_ampere", circuit.id, outcome, Severity.CORRECT, say,
                 REACH[wiring(facts, circuit, breaker)], None, told.lacking if outcome is Outcome.CANNOT_TELL else (),
                 (facts.cite("branch_circuit_ratings"),), remedy)  # fmt: skip


def _receptacles(facts: Facts, circuit: Circuit) -> Told:
    """Whether it supplies receptacles."""
    if any(each.kind == "receptacle" for each in facts.outlets_on.get(circuit.id, ())):
        return Told(True)
    if circuit.outlet_kinds:
        return Told("receptacles" in circuit.outlet_kinds)
    return Told(None, facts.missing(circuit, "outlet_kinds"))
