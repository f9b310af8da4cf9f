"""The disconnect of a separate structure: that there is one, how many, and the rating it must have."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.telling import lacks, list_open, name_of, tell
from deadfront.job.service_things import Structure
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.missing import Missing

ID = "structure.disconnect"


def count_of(facts: Facts, structure: Structure) -> Iterator[Check]:
    """One to six of them."""
    count, most = structure.disconnects, facts.number("structure_disconnects_max")
    if count is None:
        outcome, how = Outcome.CANNOT_TELL, "count_open"
    elif count == 0 or count > most:
        outcome, how = Outcome.FAILS, "none" if count == 0 else "many"
    else:
        outcome, how = Outcome.MEETS, "count_met"
    cite = facts.cite("structure_disconnect" if how == "none" else "structure_disconnect_count")
    yield from tell(ID, structure.id, outcome, facts.reach_of(structure), how, name_of(facts, structure),
                    cites=(cite,), missing=lacks(facts, structure, "disconnects"), count=count, most=most)  # fmt: skip


def least_rating(facts: Facts, structure: Structure) -> Iterator[Check]:
    """Its rating against the least for what it supplies; where that is not certain, against both ends."""
    found, low, high, missing = structure.disconnect_a, *_bounds(facts, structure)
    if found is None:
        outcome, missing = Outcome.CANNOT_TELL, (*lacks(facts, structure, "disconnect_a"), *missing)
    elif found >= facts.number(high):
        outcome = Outcome.MEETS
    else:
        outcome = Outcome.FAILS if found < facts.number(low) else Outcome.CANNOT_TELL
    least = facts.number(high if outcome is not Outcome.FAILS else low)
    yield from tell(ID, structure.id, outcome, facts.reach_of(structure), f"rating_{outcome.name.lower()}",
                    name_of(facts, structure), cites=(facts.cite("structure_disconnect_rating"),), missing=missing,
                    found=found, least=least)  # fmt: skip


def _bounds(facts: Facts, structure: Structure) -> tuple[str, str, tuple[Missing, ...]]:
    """The least rating by what the structure is and has: low and high value names, and what would tell."""
    if structure.supply in ("branch circuit", "multiwire branch circuit"):
        name = "structure_one_circuit_a" if (structure.supplies or 1) == 1 else "structure_two_circuits_a"
        return name, name, ()
    lacking = tuple(n for n in ("supply", "dwelling") if getattr(structure, n) is None)
    high = "structure_other_a" if structure.dwelling is False else "structure_dwelling_a"
    if structure.supply is None:
        return "structure_one_circuit_a", high, lacks(facts, structure, *lacking)
    if structure.dwelling:
        return high, high, ()
    few = _few_circuits(facts, structure)
    low = "structure_other_a" if few is False else "structure_two_circuits_a"
    if few and structure.dwelling is False:
        return low, low, ()
    missing = lacks(facts, structure, *lacking)
    return low, high, missing if few is not None else (*missing, list_open("circuits"))


def _few_circuits(facts: Facts, structure: Structure) -> bool | None:
    """Whether at most two circuits leave the panels of a structure; None where the list is not known to be whole."""
    panels = {each.id for each in facts.at.house.panels if each.structure == structure.id}
    count = 0
    for circuit in facts.at.house.circuits:
        breaker = facts.breaker_of(circuit)
        if breaker is not None and breaker.panel in panels:
            count += 1 if breaker.poles != 2 else 2
    if count > 2:
        return False
    return True if facts.at.house.complete.circuits == "yes" and panels else None
