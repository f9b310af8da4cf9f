"""What the work does with the wiring of a circuit and with each of its outlets: the reach of protection rules."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.tell import Told, Truth
from deadfront.job.panel_things import Breaker, Circuit, Outlet
from deadfront.worksheet.check import Reach

Wiring = Literal["new", "extended", "rewired", "moved", "existing"]
"""new; extended by outlets or length; cable replaced; only its breaker or panel changes; not touched."""

REACH: dict[Wiring, Reach] = {
    "new": Reach.NEW,
    "extended": Reach.EXTENDED,
    "rewired": Reach.REPLACED,
    "moved": Reach.REPLACED,
    "existing": Reach.EXISTING,
}

PLACE = frozenset({"place", "location", "structure"})
RESHAPED = frozenset({"rooms", "outlet_kinds", "outlets_added", "extended_ft"})
"""Fields of a circuit that the work sets where it extends it, even if it does not say by how much."""


def outlet_reach(facts: Facts, outlet: Outlet, circuit: Circuit | None) -> Reach:
    """What the work does with an outlet; one put in where one of its kind and room came out is a replacement."""
    at = facts.at
    letter = at.tag(outlet.id)
    if circuit is not None and at.tag(circuit.id) == "N":
        return Reach.NEW
    if letter == "N":
        return Reach.REPLACED if _one_came_out(facts, outlet) else Reach.EXTENDED
    return Reach.REPLACED if letter == "RL" or outlet.id in at.changed else Reach.EXISTING


def _one_came_out(facts: Facts, outlet: Outlet) -> bool:
    for gone in facts.at.removed.values():
        if isinstance(gone, Outlet) and (gone.circuit, gone.kind, gone.room) == (
            outlet.circuit,
            outlet.kind,
            outlet.room,
        ):
            return True
    return False


def added_outlets(facts: Facts, circuit: Circuit) -> tuple[Outlet, ...]:
    """The listed outlets that the work adds to a circuit that was there."""
    on = facts.outlets_on.get(circuit.id, ())
    return tuple(each for each in on if outlet_reach(facts, each, circuit) is Reach.EXTENDED)


def wiring(facts: Facts, circuit: Circuit, breaker: Breaker | None) -> Wiring:
    """What the work does with the wiring of a circuit."""
    at = facts.at
    if at.tag(circuit.id) == "N":
        return "new"
    if circuit.extended_ft or circuit.outlets_added or added_outlets(facts, circuit):
        return "extended"
    fields = at.set_fields.get(circuit.id, frozenset())
    if "cable" in fields:
        return "rewired"
    if RESHAPED & fields and (circuit.outlets_added is None or circuit.extended_ft is None):
        return "extended"
    touched = "breaker" in fields or at.tag(circuit.id) == "RL"
    if breaker is not None and not touched:
        touched = at.tag(breaker.id) != "E" or breaker.id in at.changed or _panel_moved(facts, breaker)
    return "moved" if touched else "existing"


def wirings(facts: Facts) -> dict[str, Wiring]:
    """What the work does with the wiring of every circuit, by its id."""
    return {each.id: wiring(facts, each, facts.breaker_of(each)) for each in facts.at.house.circuits}


def _panel_moved(facts: Facts, breaker: Breaker) -> bool:
    """Whether the work puts the panel of a breaker elsewhere, or puts in another."""
    panel = facts.panel_of(breaker)
    if panel is None:
        return False
    return facts.at.tag(panel.id) != "E" or bool(PLACE & facts.at.set_fields.get(panel.id, frozenset()))


def line_to_neutral(facts: Facts, circuit: Circuit, breaker: Breaker | None) -> Told:
    """Whether a circuit is one of 120 V: one pole, or a multiwire circuit that shares its neutral."""
    if circuit.shares_neutral_with is not None:
        return Told(True)
    if breaker is None:
        return Told(None, facts.missing(circuit, "breaker"))
    if breaker.poles is None:
        return Told(None, facts.missing(breaker, "poles"))
    return Told(breaker.poles == 1)


def nominal_volts(told: Truth) -> Decimal | None:
    """Volts of a circuit by whether it is line to neutral [V]."""
    return None if told is None else Decimal(120 if told else 240)
