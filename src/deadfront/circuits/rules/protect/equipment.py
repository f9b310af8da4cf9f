"""Ground-fault protection of the outlet of one load: where it stands, what the work does with it, what protects it."""

from __future__ import annotations

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.ground_fault import KIND
from deadfront.circuits.rules.protect.tell import Told, Truth, device_gives, distinct, gives
from deadfront.circuits.rules.protect.work import outlet_reach
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Circuit, Outlet
from deadfront.worksheet.check import Reach
from deadfront.worksheet.missing import Missing


def circuit_of(facts: Facts, load: Load) -> Circuit | None:
    """The circuit a load is on."""
    return facts.circuits.get(load.circuit or "")


def outlet_of(facts: Facts, load: Load) -> Outlet | None:
    """The listed outlet that supplies a load."""
    return next((each for each in facts.outlets_on.get(load.circuit or "", ()) if each.load == load.id), None)


def load_reach(facts: Facts, load: Load, circuit: Circuit | None, outlet: Outlet | None) -> Reach:
    """New outlet or circuit; equipment replaced on an outlet that was there; existing."""
    at = facts.at
    if circuit is not None and at.tag(circuit.id) == "N":
        return Reach.NEW
    if outlet is not None:
        of_outlet = outlet_reach(facts, outlet, circuit)
        if of_outlet in (Reach.EXTENDED, Reach.REPLACED):
            return of_outlet
    if at.tag(load.id) == "N":
        return Reach.REPLACED if _replaces(facts, load) else Reach.EXTENDED
    return Reach.REPLACED if at.tag(load.id) == "RL" or load.id in at.changed else Reach.EXISTING


def _replaces(facts: Facts, load: Load) -> bool:
    """In place of equipment of its kind: as entered, else where one of its kind came off the same circuit."""
    if load.replaces is not None:
        return load.replaces
    gone = (each for each in facts.at.removed.values() if isinstance(each, Load))
    return any((each.kind, each.circuit) == (load.kind, load.circuit) for each in gone)


def rated_upto(facts: Facts, circuit: Circuit | None, upto_a: object) -> Told:
    """Whether the circuit's rating is within a rule's limit; a limit of 0 is none."""
    if not upto_a:
        return Told(True)
    if circuit is None:
        return Told(None)
    breaker = facts.breaker_of(circuit)
    if breaker is None:
        return Told(None, facts.missing(circuit, "breaker"))
    if breaker.rating_a is None:
        return Told(None, facts.missing(breaker, "rating_a"))
    return Told(breaker.rating_a <= upto_a)  # type: ignore[operator]


def protected(facts: Facts, circuit: Circuit | None, outlet: Outlet | None) -> Told:
    """Whether ground-fault protection is given to equipment: by breaker, first outlet, or a device at its outlet."""
    if circuit is None:
        return Told(None)
    breaker = facts.breaker_of(circuit)
    ways: list[Truth] = [gives(breaker, KIND), device_gives(circuit.first_outlet, KIND)]
    if outlet is not None:
        ways.append(device_gives(outlet.protection, KIND))
    if True in ways:
        return Told(True)
    last = ways[-1]
    if ways[0] is False and (last is False or ways[1] is False or outlet is None):
        return Told(False)
    lacking: tuple[Missing, ...] = facts.missing(circuit, "breaker")
    if breaker is not None:
        lacking += facts.missing(breaker, "protection")
    return Told(None, distinct((*lacking, *(facts.missing(outlet, "protection") if outlet is not None else ()))))
