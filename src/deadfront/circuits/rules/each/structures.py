"""Separate structures: one supply, a disconnect of the right rating, a ground with the feeder, own electrodes."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.electrode_system import OTHER, system_at, untold
from deadfront.circuits.rules.service.places import neutral_large
from deadfront.circuits.rules.service.sizes import text
from deadfront.circuits.rules.service.structure_disconnect import count_of, least_rating
from deadfront.circuits.rules.service.structure_lines import breaker_for, panel_in
from deadfront.circuits.rules.service.telling import lacks, list_open, name_of, tell
from deadfront.job.panel_things import Breaker
from deadfront.job.service_things import Structure
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

SUPPLY, OPENS, GROUND = "structure.supplies", "structure.disconnect", "structure.grounding_conductor"
ELECTRODE, EMERGENCY = "structure.electrode", "structure.emergency_disconnect"
IDS = (OPENS, ELECTRODE, EMERGENCY, GROUND, SUPPLY)
BRANCH = ("branch circuit", "multiwire branch circuit")


def checks(facts: Facts) -> Iterator[Check]:
    """Every separate structure."""
    for structure in facts.at.house.structures:
        yield from _supplies(facts, structure)
        yield from count_of(facts, structure)
        yield from least_rating(facts, structure)
        yield from _ground(facts, structure)
        yield from _electrode(facts, structure)
        yield from _emergency(facts, structure)


def _supplies(facts: Facts, structure: Structure) -> Iterator[Check]:
    count = structure.supplies
    if count is None or count <= facts.number("structure_supplies_max"):
        outcome, how = Outcome.MEETS, "met"
    elif structure.supplies_allowed is None:
        outcome, how = Outcome.CANNOT_TELL, "open"
    else:
        outcome, how = (Outcome.MEETS, "allowed") if structure.supplies_allowed else (Outcome.FAILS, "several")
    yield from tell(SUPPLY, structure.id, outcome, facts.reach_of(structure), how, name_of(facts, structure),
                    cites=(facts.cite("structure_supplies"),), missing=lacks(facts, structure, "supplies_allowed"),
                    count=count or 1)  # fmt: skip


def _ground(facts: Facts, structure: Structure) -> Iterator[Check]:
    """A grounding conductor with the supply; an old three-wire feeder may stay while nobody touches it."""
    breaker = breaker_for(facts, structure)
    reach = facts.reach_of(structure, breaker)
    grounded = False if structure.existing_three_wire else structure.grounding_conductor
    hazard: Severity | None = None
    missing: tuple[Missing, ...] = lacks(facts, structure, "grounding_conductor")
    line = next((x for x in facts.grounding if x.subject == "feeder_ground" and x.of == structure.id), None)
    if grounded is not False and line is not None and line.outcome is Outcome.FAILS:
        outcome, how = Outcome.FAILS, "small"
    elif grounded and line is not None and line.found and line.outcome is Outcome.CANNOT_TELL:
        outcome, how = Outcome.CANNOT_TELL, "size_open"  # its size is entered, its metal is not
        missing = lacks(facts, panel_in(facts, structure) or structure, "feeder.metal")
    elif grounded:
        outcome, how = Outcome.MEETS, "met"
    elif grounded is None:
        outcome, how = Outcome.CANNOT_TELL, "open"
    elif reach in TOUCHED:
        outcome, how = Outcome.FAILS, "new"
    else:
        yield from _old_supply(facts, structure, breaker)
        return
    least = text(line.smallest) if line is not None else ()
    yield from tell(GROUND, structure.id, outcome, reach, how, name_of(facts, structure), hazard=hazard,
                    severity=Severity.DANGER if how == "new" else Severity.CORRECT, caution="neutral",
                    cites=(facts.cite("structure_ground"),), missing=missing,
                    found=line.found if line is not None else "", least=least)  # fmt: skip


def _old_supply(facts: Facts, structure: Structure, breaker: Breaker | None) -> Iterator[Check]:
    """An old supply without a ground that nobody touches: whether it may stay, or what that hangs on."""
    panel = panel_in(facts, structure)
    missing: tuple[Missing, ...] = ()
    joined = structure.neutral_joined
    if joined == "unknown" and panel is not None:
        joined = panel.neutral_joined
    if joined == "unknown":
        outcome, how, missing = Outcome.CANNOT_TELL, "old_open", lacks(facts, structure, "neutral_joined")
    elif joined == "yes":
        outcome, how, missing = _joined(facts, structure, breaker)
    elif structure.supply is None:
        outcome, how, missing = Outcome.CANNOT_TELL, "old_open", lacks(facts, structure, "supply")
    else:
        outcome, how = (Outcome.MEETS, "old") if structure.supply in BRANCH else (Outcome.FAILS, "no_path")
    name, cites = name_of(facts, structure), (facts.cite("structure_ground"),)
    if outcome is Outcome.CANNOT_TELL:  # worth knowing though nobody touches it: what it hangs on is told
        yield Check(GROUND, structure.id, outcome, Severity.NOTE, said(f"check.{GROUND}.{how}", name=name),
                    Reach.EXISTING, None, missing, cites)  # fmt: skip
        return
    hazard = Severity.CORRECT if how in ("ground_fault", "neutral_small") else Severity.DANGER
    yield from tell(GROUND, structure.id, outcome, Reach.EXISTING, how, name, hazard=hazard, caution="neutral",
                    cites=cites)  # fmt: skip


def _joined(facts: Facts, structure: Structure, breaker: Breaker | None) -> tuple[Outcome, str, tuple[Missing, ...]]:
    """Neutral and ground joined there: no other metal path, nothing ahead that trips on ground faults, a large neutral.

    Returns:
        Outcome, ending of its words, the facts that would tell.
    """
    panel = panel_in(facts, structure)
    protection = None if breaker is None else breaker.protection
    large = None if panel is None or breaker is None else neutral_large(facts, panel, breaker)
    if structure.parallel_metal == "yes":
        return Outcome.FAILS, "parallel", ()
    if protection in ("ground fault", "both"):
        return Outcome.FAILS, "ground_fault", ()
    if large is False:
        return Outcome.FAILS, "neutral_small", ()
    missing = lacks(facts, structure, "parallel_metal") if structure.parallel_metal == "unknown" else ()
    if breaker is None:
        missing += lacks(facts, structure, "fed_by")
    else:
        missing += lacks(facts, breaker, *(n for n in ("protection", "rating_a") if getattr(breaker, n) is None))
    if panel is not None and large is None:
        lacking = (n for n in ("size", "metal") if getattr(panel.feeder, n) is None)
        missing += lacks(facts, panel, *(f"feeder.{n}" for n in lacking))
    elif panel is None:
        missing += (list_open("panels"),)
    return (Outcome.CANNOT_TELL, "old_open", missing) if missing else (Outcome.MEETS, "old_feeder", ())


def _electrode(facts: Facts, structure: Structure) -> Iterator[Check]:
    """Electrodes of its own; none are asked for where one branch circuit with a ground is all there is."""
    system = system_at(facts, structure.id)
    single = structure.supply in BRANCH and (structure.supplies or 1) == 1
    missing: tuple[Missing, ...] = (list_open("electrodes"),)
    if single and structure.grounding_conductor:
        outcome, how = Outcome.NOT_APPLICABLE, "branch"
    elif system.kinds - {OTHER}:
        outcome, how = Outcome.MEETS, "met"
    elif system.electrodes:
        outcome, how = Outcome.CANNOT_TELL, "open"
        missing = tuple(each for other in untold(system) for each in lacks(facts, other, "kind"))
    elif structure.supply is None:
        outcome, how, missing = Outcome.CANNOT_TELL, "open", lacks(facts, structure, "supply")
    elif single and structure.grounding_conductor is None:
        outcome, how, missing = Outcome.CANNOT_TELL, "open", lacks(facts, structure, "grounding_conductor")
    else:
        outcome, how = (Outcome.FAILS, "none") if system.complete else (Outcome.CANNOT_TELL, "open")
    yield from tell(ELECTRODE, structure.id, outcome, facts.reach_of(structure), how, name_of(facts, structure),
                    cites=(facts.cite("structure_electrode"),), caution="dig", missing=missing)  # fmt: skip


def _emergency(facts: Facts, structure: Structure) -> Iterator[Check]:
    """A dwelling that a feeder supplies: an outdoor emergency disconnect of its own, by edition."""
    rule = "emergency_disconnect_feeder"
    if not facts.book.has(rule) or structure.dwelling is False or structure.supply in BRANCH:
        return
    reach, by = facts.reach_of(structure), facts.book.barred(rule)
    name, cites = name_of(facts, structure), (facts.cite(rule),)
    if by is not None:
        if reach in TOUCHED:
            yield from tell(EMERGENCY, structure.id, Outcome.NOT_APPLICABLE, reach, "barred", name, cites=cites, by=by)
        return
    fields = [n for n in ("supply", "dwelling", "disconnect_outdoors") if getattr(structure, n) is None]
    if structure.disconnect_outdoors:
        outcome = Outcome.MEETS
    else:
        known = structure.dwelling and structure.supply and structure.disconnect_outdoors is False
        outcome = Outcome.FAILS if known else Outcome.CANNOT_TELL
    yield from tell(EMERGENCY, structure.id, outcome, reach, outcome.name.lower(), name, cites=cites,
                    missing=lacks(facts, structure, *fields))  # fmt: skip
