"""A panel change and arc-fault protection: old wiring on a new breaker is not asked for it, lengthened wiring is."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.arc_fault import KIND, rooms_ask
from deadfront.circuits.rules.protect.tell import WORD, gives
from deadfront.circuits.rules.protect.work import wirings
from deadfront.job.panel_things import Circuit, Panel
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("protection.panel_change",)


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each panel with circuits that are only moved to a new breaker or panel."""
    moved: dict[str, list[Circuit]] = {}
    works = facts.once(wirings)
    for circuit in facts.at.house.circuits:
        if works[circuit.id] != "moved":
            continue
        breaker = facts.breaker_of(circuit)
        if gives(breaker, KIND):
            continue
        if rooms_ask(facts, circuit, breaker).truth is not False:
            panel = facts.panel_of(breaker)
            moved.setdefault(panel.id if panel else "", []).append(circuit)
    for ident, circuits in moved.items():
        yield _check(facts, facts.panels.get(ident), circuits)


def _check(facts: Facts, panel: Panel | None, circuits: list[Circuit]) -> Check:
    open_ones = [each for each in circuits if each.extended_ft is None]
    missing: tuple[Missing, ...] = ()
    if open_ones and panel is not None and panel.circuits_lengthened is None:
        missing = facts.missing(panel, "circuits_lengthened")
    elif open_ones and (panel is None or panel.circuits_lengthened):
        missing = tuple(m for each in open_ones for m in facts.missing(each, "extended_ft"))
    outcome = Outcome.CANNOT_TELL if missing else Outcome.NOT_APPLICABLE
    say = said(
        f"check.protection.panel_change.{WORD[outcome]}",
        limit=facts.number("arc_fault_extension_ft"),
        circuits=tuple(facts.name_of(each, "thing.by_id") for each in (open_ones if missing else circuits)),
    )
    cites = (facts.cite("arc_fault_panel_change"), facts.cite("arc_fault_extension"))
    return Check("protection.panel_change", panel.id if panel else "", outcome, Severity.CORRECT, say, Reach.REPLACED,
                 None, missing, cites)  # fmt: skip
