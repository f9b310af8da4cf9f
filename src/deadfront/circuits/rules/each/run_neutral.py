"""Cables without a neutral where something asks for one: the bare ground would carry its current."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.runs.cases import poles_of
from deadfront.circuits.rules.runs.checking import WORDS
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Circuit, Panel
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("circuit.neutral", "feeder.neutral")
WITHOUT = 2  # insulated conductors of a cable that has no neutral at 240 V
MOSTLY = ("range", "oven", "cooktop", "dryer")
"""Kinds that are mostly made for 120/240 V: whether this one is must be read."""


def checks(facts: Facts) -> Iterator[Check]:
    """Circuits and feeders of two insulated conductors on two poles that something with a neutral stands on."""
    for circuit in facts.at.house.circuits:
        breaker = facts.breaker_of(circuit)
        if circuit.cable.conductors == WITHOUT and breaker is not None and poles_of(breaker) == WITHOUT:
            yield from _circuit(facts, circuit, facts.reach_of(circuit, breaker, *facts.loads_on.get(circuit.id, ())))
    for panel in facts.at.house.panels:
        if panel.feeder.conductors == WITHOUT and panel.fed_by in facts.breakers:
            yield from _feeder(facts, panel)


def _circuit(facts: Facts, circuit: Circuit, reach: Reach) -> Iterator[Check]:
    loads = facts.loads_on.get(circuit.id, ())
    name = facts.name_of(circuit, "thing.by_id")
    if any(load.neutral for load in loads):
        yield _said(facts, "circuit.neutral", circuit.id, Outcome.FAILS, name, reach)
        return
    open_ = [load for load in loads if load.neutral is None and load.kind in MOSTLY]
    if open_ and reach in TOUCHED:
        missing = tuple(_asked(facts, load) for load in open_)
        yield _said(facts, "circuit.neutral", circuit.id, Outcome.CANNOT_TELL, name, reach, missing)


def _asked(facts: Facts, load: Load) -> Missing:
    what = said("todo.circuits.neutral_needed", thing=facts.name_of(load, "thing.by_id"))
    return Missing(facts.at.path(load, "neutral"), what, said("todo.how.circuits.neutral_needed"))


def _feeder(facts: Facts, panel: Panel) -> Iterator[Check]:
    """A panel fed without a neutral may hold two-pole breakers only."""
    held = [breaker for breaker in facts.at.house.breakers if facts.panel_of(breaker) is panel]
    if any(poles_of(breaker) == 1 for breaker in held):
        name, reach = facts.name_of(panel, "thing.by_id"), facts.reach_of(panel, *held)
        yield _said(facts, "feeder.neutral", panel.id, Outcome.FAILS, name, reach)


def _said(
    facts: Facts, ident: str, thing: str, outcome: Outcome, name: object, reach: Reach,
    missing: tuple[Missing, ...] = (),
) -> Check:  # fmt: skip
    say, remedy = said(f"check.{ident}.{WORDS[outcome]}", name=name), said(f"remedy.{ident}")
    cites = (facts.cite("three_wire_appliance" if ident == "circuit.neutral" else "neutral_joins"),)
    return Check(ident, thing, outcome, Severity.DANGER, say, reach, None, missing, cites,
                 remedy if outcome is Outcome.FAILS else None)  # fmt: skip
