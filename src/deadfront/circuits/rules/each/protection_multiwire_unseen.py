"""A cable of three conductors on a one-pole breaker: a multiwire circuit whose partner was not seen?"""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.job.panel_things import Circuit
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

IDS = ("protection.multiwire_unseen",)
THREE_WIRES = 3


def checks(facts: Facts) -> Iterator[Check]:
    """Circuits that look like half of a pair, and those entered as their own partner."""
    partners = {each.shares_neutral_with for each in facts.at.house.circuits}
    for circuit in facts.at.house.circuits:
        if circuit.shares_neutral_with == circuit.id:
            yield _check(facts, circuit, Outcome.FAILS, "_itself")
        elif circuit.shares_neutral_with is None and circuit.id not in partners and not circuit.neutral_alone:
            breaker = facts.breaker_of(circuit)
            if (circuit.cable.conductors or 0) >= THREE_WIRES and breaker is not None and breaker.poles == 1:
                yield _check(facts, circuit, Outcome.CANNOT_TELL, "")


def _check(facts: Facts, circuit: Circuit, outcome: Outcome, word: str) -> Check:
    reach = facts.reach_of(circuit, facts.breaker_of(circuit))
    severity = Severity.CORRECT if reach in TOUCHED else Severity.NOTE
    say = said(f"check.protection.multiwire_unseen.{outcome.name.lower()}{word}",
               name=facts.name_of(circuit, "thing.by_id"))  # fmt: skip
    missing: tuple[Missing, ...] = ()
    if outcome is Outcome.CANNOT_TELL:
        missing = facts.missing(circuit, "neutral_alone") or facts.missing(circuit, "shares_neutral_with")
    remedy = said("remedy.protection.multiwire_unseen")
    return Check("protection.multiwire_unseen", circuit.id, outcome, severity, say, reach, None, missing,
                 (facts.cite("multiwire_circuits"),), remedy)  # fmt: skip
