"""The circuit of the smoke and CO alarms is known, and nothing sheds or opens it remotely."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.shed import may_be_opened, sheds_at_all
from deadfront.circuits.rules.protect.tell import WORD
from deadfront.job.panel_things import Circuit
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
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
    service = facts.at.house.service
    path = "before/service.smoke_alarms"
    if service.smoke_alarms is None:
        key = "smoke_alarms"
    else:
        key, path = "smoke_alarm_circuit", "before/complete.circuits"
    missing = Missing(path, said(f"todo.circuits.{key}"), said(f"todo.how.circuits.{key}"))
    severity = Severity.CORRECT if sheds_at_all(facts) else Severity.NOTE
    return Check("protection.smoke_alarms", "", Outcome.CANNOT_TELL, severity,
                 said("check.protection.smoke_alarms.cannot_tell"), Reach.WHOLE_JOB, None, (missing,))  # fmt: skip
