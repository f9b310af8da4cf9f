"""Lengths that cannot be: entered as zero, though conductors run there."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

IDS = ("circuit.length",)


def checks(facts: Facts) -> Iterator[Check]:
    """One finding for each length of zero: figures treat it as not known."""
    service = facts.at.house.service
    for part, length_ft in (("drop", service.drop.length_ft), ("conductors", service.conductors.length_ft)):
        if length_ft == 0:
            name = said("flow.drop" if part == "drop" else "flow.service")
            yield _check(facts, "service", name, f"before/service.{part}.length_ft")
    for panel in facts.at.house.panels:
        if panel.feeder.length_ft == 0:
            name = said("flow.feeder", thing=facts.name_of(panel, "thing.by_id"))
            yield _check(facts, panel.id, name, facts.at.path(panel, "feeder.length_ft"))
    for circuit in facts.at.house.circuits:
        if circuit.cable.length_ft == 0:
            yield _check(facts, circuit.id, facts.name_of(circuit, "thing.by_id"),
                         facts.at.path(circuit, "cable.length_ft"))  # fmt: skip


def _check(facts: Facts, thing: str, name: Msg, path: str) -> Check:
    missing = Missing(path, said("todo.circuits.length_ft", thing=name), said("todo.how.circuits.length_ft"))
    say = said("check.circuit.length", thing=name, place=path)
    return Check("circuit.length", thing, Outcome.FAILS, Severity.CORRECT, say,
                 missing=(missing,), cites=(facts.cite("voltage_drop"),),
                 remedy=said("remedy.circuit.length"))  # fmt: skip
