"""Arc-fault protection of one circuit: whether its rooms and the work on it ask for it, and whether it is given."""

from __future__ import annotations

from typing import Any

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.tell import Told, Truth, all_of, any_of, device_gives, distinct, gives, in_force
from deadfront.circuits.rules.protect.work import Wiring, added_outlets, line_to_neutral
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.msg import said
from deadfront.worksheet.missing import Missing

KIND = "arc fault"
UPTO_120_V = 130


def rooms_of(facts: Facts, circuit: Circuit) -> tuple[str, ...]:
    """Rooms of a circuit: as entered, and those of its outlets."""
    outlets = facts.outlets_on.get(circuit.id, ())
    return tuple(dict.fromkeys((*circuit.rooms, *(each.room for each in outlets if each.room is not None))))


def listed_rooms(facts: Facts, rooms: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the rooms that the edition lists."""
    listed: Any = facts.book.rule("arc_fault_rooms").params["rooms"]
    return tuple(each for each in rooms if each in listed)


def unclear_rooms(facts: Facts) -> tuple[str, ...]:
    """Names of rooms that do not tell whether the edition lists them."""
    unclear: Any = facts.book.rule("arc_fault_rooms").params["unclear_rooms"]
    return tuple(unclear)


def rooms_ask(facts: Facts, circuit: Circuit, breaker: Breaker | None) -> Told:
    """Whether a new circuit like this one would be asked for it: volts, rating and rooms."""
    if not in_force(facts.book, "arc_fault_rooms"):
        return Told(False)
    params: Any = facts.book.rule("arc_fault_rooms").params
    volts = line_to_neutral(facts, circuit, breaker)
    if volts.truth is not True and any((o.volts or 999) <= UPTO_120_V for o in facts.outlets_on.get(circuit.id, ())):
        volts = Told(True)
    rating = _rating(facts, circuit, breaker, params["ratings_a"])
    place = _place(facts, circuit, params)
    parts = (volts, rating, place)
    truth = all_of(each.truth for each in parts)
    if truth is not None:
        return Told(truth)
    return Told(None, distinct(m for each in parts if each.truth is None for m in each.lacking))


def _rating(facts: Facts, circuit: Circuit, breaker: Breaker | None, ratings_a: Any) -> Told:
    if breaker is None:
        return Told(None, facts.missing(circuit, "breaker"))
    if breaker.rating_a is None:
        return Told(None, facts.missing(breaker, "rating_a"))
    return Told(breaker.rating_a in ratings_a)


def _place(facts: Facts, circuit: Circuit, params: Any) -> Told:
    rooms = rooms_of(facts, circuit)
    if any(each in params["rooms"] for each in rooms):
        return Told(True)
    if not rooms:
        return Told(None, facts.missing(circuit, "rooms"))
    if any(each in params["unclear_rooms"] for each in rooms):
        name = facts.name_of(circuit, "thing.by_id")
        what, how = said("todo.circuits.rooms_clearer", thing=name), said("todo.how.circuits.rooms_clearer")
        return Told(None, (Missing(facts.at.path(circuit, "rooms"), what, how),))
    if not circuit.rooms and facts.at.house.complete.outlets != "yes":
        return Told(None, facts.missing(circuit, "rooms"))
    return Told(False)


def work_asks(facts: Facts, circuit: Circuit, work: Wiring) -> Told:
    """Whether what the work does to a circuit asks for it: new or replaced wiring, an added outlet, enough length."""
    if work == "new":
        return Told(True)
    if not in_force(facts.book, "arc_fault_extension"):
        return Told(False)
    if work == "rewired":
        return Told(True)
    if circuit.outlets_added or added_outlets(facts, circuit):
        return Told(True)
    outlets: Truth = False if circuit.outlets_added == 0 or facts.at.house.complete.outlets == "yes" else None
    limit_ft = facts.number("arc_fault_extension_ft")
    length: Truth = None if circuit.extended_ft is None else circuit.extended_ft > limit_ft
    truth = any_of((outlets, length))
    lacking = facts.missing(circuit, "outlets_added", "extended_ft") if truth is None else ()
    return Told(truth, lacking)


def given(facts: Facts, circuit: Circuit, breaker: Breaker | None, work: Wiring) -> Told:
    """Whether it is given: by the breaker, or by a device at the first outlet where that may do."""
    by_breaker = gives(breaker, KIND)
    first = device_gives(circuit.first_outlet, KIND)
    if by_breaker:
        return Told(True)
    device = Told(first) if first is not True or work not in ("new", "rewired") else _first_may_do(facts, circuit)
    truth = any_of((by_breaker, device.truth))
    if truth is not None:
        return Told(truth)
    lacking: tuple[Missing, ...] = device.lacking
    if by_breaker is None:
        lacking += facts.missing(circuit, "breaker") if breaker is None else facts.missing(breaker, "protection")
    if first is None:
        lacking += facts.missing(circuit, "first_outlet")
    return Told(None, distinct(lacking))


def _first_may_do(facts: Facts, circuit: Circuit) -> Told:
    """A device at the first outlet of a new circuit: armored cable or metal raceway to it, or listed with the breaker.

    Source: rule arc_fault_means, from memory.
    """
    wirings: Any = facts.book.rule("arc_fault_means").params["outlet_first_wiring"]
    raceway = next((each.kind for each in facts.at.house.raceways if each.id == circuit.cable.raceway), None)
    if raceway in wirings or (circuit.cable.type or "").upper() in wirings or circuit.afci_combination_listed:
        return Told(True)
    if circuit.afci_combination_listed is False and circuit.cable.type is not None:
        return Told(False)
    return Told(None, facts.missing(circuit, "afci_combination_listed", "cable.type"))
