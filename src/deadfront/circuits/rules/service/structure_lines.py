"""Separate structures: the conductor to their electrodes, and the ground that runs with their feeder."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.electrode_lines import one
from deadfront.circuits.rules.service.electrode_system import system_at
from deadfront.circuits.rules.service.ground_line import ground_line
from deadfront.circuits.rules.service.sizes import Lines, lines_of
from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.service_things import Structure
from deadfront.results.circuits import Required


def panel_in(facts: Facts, structure: Structure) -> Panel | None:
    """The first panel of a structure: where its feeder ends."""
    return next((each for each in facts.at.house.panels if each.structure == structure.id), None)


def breaker_for(facts: Facts, structure: Structure) -> Breaker | None:
    """The breaker that a structure is fed from."""
    panel = panel_in(facts, structure)
    return facts.breakers.get(structure.fed_by or (panel.fed_by if panel is not None else None) or "")


def structure_lines(facts: Facts) -> Iterator[Required]:
    """Lines of every separate structure."""
    for structure in facts.at.house.structures:
        yield from _feeder_ground(facts, structure)
        system = system_at(facts, structure.id)
        for electrode in system.electrodes:
            yield one(facts, system, _feeder(facts, structure), electrode)


def _feeder(facts: Facts, structure: Structure) -> Lines | None:
    panel = panel_in(facts, structure)
    if panel is None:
        return None
    cable = panel.feeder
    return lines_of(cable.size, cable.metal, cable.sets, facts.at.path(panel, "feeder.size"))


def _no_ground(structure: Structure) -> bool:
    return structure.grounding_conductor is False or bool(structure.existing_three_wire)


def _feeder_ground(facts: Facts, structure: Structure) -> Iterator[Required]:
    """The equipment grounding conductor with the feeder, by the breaker ahead of it."""
    breaker, panel = breaker_for(facts, structure), panel_in(facts, structure)
    if breaker is None or breaker.rating_a is None or _no_ground(structure):
        return
    cable = panel.feeder if panel is not None else None
    if cable is not None and cable.ground in ("none", "raceway", "armor"):
        return
    yield ground_line(facts.book, structure.id, breaker.rating_a, facts.at.path(breaker, "rating_a"), cable)
