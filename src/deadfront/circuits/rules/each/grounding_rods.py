"""Rods, pipes and plates: one alone needs a second electrode or 25 ohms or less; two stand 6 ft apart."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.electrode_system import OTHER, System, system_at, untold
from deadfront.circuits.rules.service.telling import SERVICE, lacks, list_open, name_of, tell
from deadfront.circuits.rules.service.work import farthest, service_work
from deadfront.job.service_things import Electrode, Structure
from deadfront.worksheet.check import Check, Outcome, Reach

ID = "grounding.rods"
IDS = (ID,)
SUPPLEMENTS = frozenset({"concrete-encased", "ground ring", "structural metal"})


def checks(facts: Facts) -> Iterator[Check]:
    """At the service, then at each separate structure."""
    yield from _at(facts, None, service_work(facts).grounding)
    for structure in facts.at.house.structures:
        yield from _at(facts, structure, facts.reach_of(structure))


def _at(facts: Facts, structure: Structure | None, reach: Reach) -> Iterator[Check]:
    system = system_at(facts, structure.id if structure is not None else None)
    if not system.rods:
        return
    own = farthest(reach, facts.reach_of(*system.rods))
    thing = structure.id if structure is not None else SERVICE
    if len(system.rods) == 1 and not system.kinds & SUPPLEMENTS:
        yield from _alone(facts, system, structure, thing, own)
    yield from _spacing(facts, system, reach)


def _alone(facts: Facts, system: System, structure: Structure | None, thing: str, reach: Reach) -> Iterator[Check]:
    """A single rod: 25 ohms or less by measurement, or a second electrode."""
    limit, rod = facts.number("rod_resistance_ohm"), system.rods[0]
    measured, missing = rod.resistance_ohm, lacks(facts, rod, "resistance_ohm")
    if structure is None and measured is None:
        measured = facts.at.house.service.grounding.electrodes_resistance_ohm
        missing = lacks(facts, None, "grounding.electrodes_resistance_ohm")
    if measured is not None and measured <= limit:
        outcome, how = Outcome.MEETS, "alone_met"
    elif measured is not None and system.complete and OTHER not in system.kinds:
        outcome, how = Outcome.FAILS, "alone_wrong"
    else:
        outcome, how = Outcome.CANNOT_TELL, "alone_open"
        kinds = tuple(each for other in untold(system) for each in lacks(facts, other, "kind"))
        missing = (*(missing if measured is None else ()), *kinds,
                   *(() if system.complete else (list_open("electrodes"),)))  # fmt: skip
    yield from tell(ID, thing, outcome, reach, how, name_of(facts, structure), cites=(facts.cite("rod_supplement"),),
                    caution="dig", missing=missing, found=measured, limit=limit)  # fmt: skip


def _apart(facts: Facts, rod: Electrode, reach: Reach) -> Iterator[Check]:
    least = facts.number("electrode_apart_ft")
    if rod.apart_ft is None:
        outcome = Outcome.CANNOT_TELL
    else:
        outcome = Outcome.MEETS if rod.apart_ft >= least else Outcome.FAILS
    yield from tell(ID, rod.id, outcome, reach, f"apart_{outcome.name.lower()}", name_of(facts, rod),
                    cites=(facts.book.value("electrode_apart_ft").cite,), caution="dig",
                    missing=lacks(facts, rod, "apart_ft"), found=rod.apart_ft, least=least)  # fmt: skip


def _spacing(facts: Facts, system: System, reach: Reach) -> Iterator[Check]:
    """Each rod from its next; one distance that two rods give is told once, at the first of them."""
    rods = [rod for rod in system.rods if len(system.rods) > 1 or rod.apart_ft is not None]
    least, told = facts.number("electrode_apart_ft"), set()
    for rod in rods:
        near = rod.apart_ft is not None and rod.apart_ft < least
        if near and rod.apart_ft in told:
            continue
        told |= {rod.apart_ft} if near else set()
        yield from _apart(facts, rod, farthest(reach, facts.reach_of(*rods if near else (rod,))))
