"""The electrode system: what is there belongs to it; a water pipe alone is not enough; steel that can be reached."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.electrode_system import SHORTEST, System, counts, makes_system, system_at, untold
from deadfront.circuits.rules.service.telling import SERVICE, lacks, list_open, name_of, tell
from deadfront.circuits.rules.service.work import farthest, service_work
from deadfront.job.service_things import Electrode
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.missing import Missing

ID = "grounding.electrodes"
IDS = (ID,)


def checks(facts: Facts) -> Iterator[Check]:
    """The system of the service, its concrete-encased steel, then the length of each electrode."""
    system = system_at(facts, None)
    yield from _system(facts, system)
    yield from _concrete(facts, system)
    for electrode in facts.at.house.electrodes:
        yield from _length(facts, electrode)
        yield from _thickness(facts, electrode)
        if counts(facts, electrode) is None:
            yield from tell(ID, electrode.id, Outcome.CANNOT_TELL, facts.reach_of(electrode), "what_it_is",
                            name_of(facts, electrode), cites=(facts.cite("electrode_system"),),
                            missing=lacks(facts, electrode, "kind"))  # fmt: skip


def _system(facts: Facts, system: System) -> Iterator[Check]:
    """Whether there is a system that can stand alone: a water pipe needs a supplement."""
    made = makes_system(system)
    missing: tuple[Missing, ...] = (list_open("electrodes"),)
    if made:
        outcome, how = Outcome.MEETS, "met"
    elif made is None:
        outcome, how = Outcome.CANNOT_TELL, "only_other"
        missing = tuple(each for other in untold(system) for each in lacks(facts, other, "kind"))
    elif not system.complete:
        outcome, how = Outcome.CANNOT_TELL, "open"
    else:
        alone = any(counts(facts, each) for each in system.electrodes)
        outcome, how = Outcome.FAILS, "water_alone" if alone else "not_one" if system.kinds else "none"
    cites = (facts.cite("electrode_system"), facts.cite("water_supplement"))
    yield from tell(ID, SERVICE, outcome, service_work(facts).grounding, how, name_of(facts, None), cites=cites,
                    caution="dig", missing=missing)  # fmt: skip


def _concrete(facts: Facts, system: System) -> Iterator[Check]:
    """Steel in a footing that can be reached is part of the system; in an existing building none need be dug for."""
    present = facts.at.house.service.grounding.concrete_steel_present
    if present == "no" or (present == "unknown" and facts.existing is not False):
        return
    bonded = system.has("concrete-encased")
    outcome = {True: Outcome.MEETS, False: Outcome.FAILS, None: Outcome.CANNOT_TELL}[bonded]
    missing: tuple[Missing, ...] = (list_open("electrodes"),)
    if present == "unknown" and not bonded:
        outcome, missing = Outcome.CANNOT_TELL, lacks(facts, None, "grounding.concrete_steel_present")
    yield from tell(ID, SERVICE, outcome, service_work(facts).grounding, f"steel_{outcome.name.lower()}",
                    name_of(facts, None), cites=(facts.cite("electrode_system"),), missing=missing)  # fmt: skip


def _length(facts: Facts, electrode: Electrode) -> Iterator[Check]:
    """An electrode too short in the earth is none; a length not read is asked where the work makes the electrode."""
    name = SHORTEST.get(electrode.kind)
    if name is None:
        return
    least: Decimal = facts.number(name)
    reach = facts.reach_of(electrode)
    if electrode.structure is None:
        reach = farthest(reach, service_work(facts).grounding) if electrode.length_ft is not None else reach
    if electrode.length_ft is None:
        outcome = Outcome.CANNOT_TELL
    else:
        outcome = Outcome.MEETS if electrode.length_ft >= least else Outcome.FAILS
    others = makes_system(system_at(facts, electrode.structure)) is not False
    if outcome is Outcome.FAILS and electrode.kind == "water pipe" and others:
        outcome = Outcome.NOT_APPLICABLE  # it is piping to bond; where nothing else is there it fails
    yield from tell(ID, electrode.id, outcome, reach, f"length_{outcome.name.lower()}", name_of(facts, electrode),
                    cites=(facts.book.value(name).cite,), caution="dig",
                    missing=lacks(facts, electrode, "length_ft"), found=electrode.length_ft, least=least)  # fmt: skip


def _thickness(facts: Facts, electrode: Electrode) -> Iterator[Check]:
    """A rod that was measured: 5/8 in, or 1/2 in where it is listed; thinner it is no electrode."""
    found = electrode.diameter_in
    if electrode.kind != "rod" or found is None:
        return
    least, thinnest = facts.number("rod_diameter_in"), facts.number("rod_listed_diameter_in")
    if found >= least:
        outcome = Outcome.MEETS
    elif found < thinnest or electrode.listed is False:
        outcome = Outcome.FAILS
    else:
        outcome = Outcome.MEETS if electrode.listed else Outcome.CANNOT_TELL
    reach = facts.reach_of(electrode)
    if electrode.structure is None:
        reach = farthest(reach, service_work(facts).grounding)
    yield from tell(ID, electrode.id, outcome, reach, f"thick_{outcome.name.lower()}", name_of(facts, electrode),
                    cites=(facts.book.value("rod_diameter_in").cite,), caution="dig",
                    missing=lacks(facts, electrode, "listed"), found=found, least=least, thinnest=thinnest)  # fmt: skip
