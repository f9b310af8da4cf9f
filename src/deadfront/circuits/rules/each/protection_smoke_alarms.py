"""The circuit of the smoke and CO alarms is known, and nothing sheds or opens it remotely."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.shed import may_be_opened, sheds_at_all
from deadfront.circuits.rules.protect.tell import WORD
from deadfront.job.panel_things import Circuit
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

IDS = ("protection.smoke_alarms",)


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each circuit known to carry alarms; one for the house where none is known."""
    carrying = tuple(each for each in facts.at.house.circuits if "smoke alarms" in each.outlet_kinds)
    if carrying:
        yield from (_known(facts, each) for each in carrying)
    elif facts.at.house.service.smoke_alarms in (None, "on a circuit"):
        yield _not_known(facts)


def _known(facts: Facts, circuit: Circuit) -> Check:
    opened = may_be_opened(facts, circuit)
    outcome = Outcome.FAILS if opened else Outcome.MEETS
    say = said(f"check.protection.smoke_alarms.{WORD[outcome]}", name=facts.name_of(circuit, "thing.by_id"))
    return Check("protection.smoke_alarms", circuit.id, outcome, Severity.DANGER, say,
                 facts.reach_of(circuit, facts.breaker_of(circuit)), None, (), (),
                 said("remedy.protection.smoke_alarms") if opened else None)  # fmt: skip


def _not_known(facts: Facts) -> Check:
    """Bars a signature only where something in the house can open circuits by itself."""
    severity = Severity.CORRECT if sheds_at_all(facts) else Severity.NOTE
    missing = tuple(_to_find(facts))
    remedy = None if missing else said("remedy.protection.smoke_alarms_unlisted")
    say = said("check.protection.smoke_alarms.cannot_tell")
    return Check("protection.smoke_alarms", "", Outcome.CANNOT_TELL, severity, say, missing=missing, remedy=remedy)


def _to_find(facts: Facts) -> Iterator[Missing]:
    """Whether they are on a circuit at all; then what each circuit supplies, and that all circuits are listed."""
    house = facts.at.house
    if house.service.smoke_alarms is None:
        what, how = said("todo.circuits.smoke_alarms"), said("todo.how.circuits.smoke_alarms")
        yield Missing("before/service.smoke_alarms", what, how)
        return
    for circuit in house.circuits:
        yield from facts.missing(circuit, "outlet_kinds")
    if house.complete.circuits != "yes":
        what, how = said("todo.circuits.smoke_alarm_circuit"), said("todo.how.circuits.smoke_alarm_circuit")
        yield Missing("before/complete.circuits", what, how)
