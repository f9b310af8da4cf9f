"""Every conductor of grounding and bonding that the code sizes: at the service, then at separate structures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.bonds import bonds
from deadfront.circuits.rules.service.electrode_lines import electrode_lines
from deadfront.circuits.rules.service.neutral import grounded_conductor
from deadfront.circuits.rules.service.panel_lines import panel_lines
from deadfront.circuits.rules.service.structure_lines import breaker_for, panel_in, structure_lines
from deadfront.circuits.rules.service.work import farthest, service_work
from deadfront.results.circuits import Required
from deadfront.worksheet.check import Check, Outcome, Reach

CHECKED_BY = {
    "grounded_conductor": ("service.grounded_conductor",),
    "electrode_conductor": ("grounding.electrode_conductor",),
    "main_bonding_jumper": ("grounding.bonding_jumper",),
    "supply_jumper": ("grounding.supply_jumper",),
    "water_bond": ("grounding.water",),
    "structural_bond": ("grounding.structural_metal",),
    "feeder_ground": ("grounding.feeder_ground", "structure.grounding_conductor", "feeder.ground"),
}
"""The checks that say what becomes of a line."""


def grounding(facts: Facts) -> tuple[Required, ...]:
    """All lines of the grounding sheet."""
    return tuple(replace(line, reach=_reach(facts, line)) for line in _lines(facts))


def with_asked(lines: Iterable[Required], checks: Iterable[Check]) -> tuple[Required, ...]:
    """The lines, each with whether it is asked of this house: one that the work leaves alone only where it endangers.

    So that sheet and findings say the same: a line that does not meet is a finding, or a rule of today alone.
    """
    found = {(check.id, check.thing) for check in checks if check.outcome is Outcome.FAILS}
    return tuple(replace(line, asked=line.reach in TOUCHED or _found(line, found)) for line in lines)


def _found(line: Required, found: set[tuple[str, str]]) -> bool:
    return any((ident, line.of) in found for ident in CHECKED_BY[line.subject])


def _lines(facts: Facts) -> Iterator[Required]:
    yield from grounded_conductor(facts)
    yield from electrode_lines(facts)
    yield from bonds(facts)
    yield from panel_lines(facts)
    yield from structure_lines(facts)


def _reach(facts: Facts, line: Required) -> Reach:
    """What the work does with the conductor of a line."""
    house, work = facts.at.house, service_work(facts)
    if line.of == "service":
        return work.conductors if line.subject == "grounded_conductor" else work.grounding
    if line.of in facts.panels:
        return farthest(facts.reach_of(facts.panels[line.of]), work.outside)
    for structure in house.structures:
        if structure.id == line.of:
            return facts.reach_of(structure, breaker_for(facts, structure), panel_in(facts, structure))
    electrode = next(each for each in house.electrodes if each.id == line.of)
    own = facts.reach_of(electrode)
    return own if electrode.structure is not None else farthest(own, work.grounding)
