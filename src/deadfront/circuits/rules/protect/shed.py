"""Which circuits something may open by itself: controllable breakers, gear that opens circuits, energy management."""

from __future__ import annotations

from deadfront.circuits.rules.facts import Facts
from deadfront.job.found_things import Gear
from deadfront.job.panel_things import Circuit

OPENS = ("controllable breakers", "controller")


def opens_circuits(gear: Gear) -> bool:
    """Whether gear opens the circuits it serves: as entered, else by its kind."""
    return gear.kind in OPENS if gear.remote_opening is None else gear.remote_opening


def may_be_opened(facts: Facts, circuit: Circuit) -> bool:
    """Whether anything on file may open a circuit remotely or shed it."""
    breaker = facts.breaker_of(circuit)
    if breaker is not None and breaker.controllable:
        return True
    if any(circuit.id in each.serves and opens_circuits(each) for each in facts.at.house.gear):
        return True
    named = {circuit.id, circuit.breaker or ""} | {each.id for each in facts.loads_on.get(circuit.id, ())}
    return any(named & set(each.controls) for each in facts.at.house.energy_management)


def sheds_at_all(facts: Facts) -> bool:
    """Whether the house has anything that opens circuits by itself."""
    house = facts.at.house
    return bool(
        house.energy_management
        or any(opens_circuits(each) for each in house.gear)
        or any(each.controllable for each in house.breakers)
    )
