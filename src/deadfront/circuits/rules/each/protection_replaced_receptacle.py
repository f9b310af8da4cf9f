"""A receptacle that is replaced gets what its place asks for today: ground fault, arc fault, tamper, weather."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, NamedTuple

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.arc_fault import KIND as ARC_FAULT
from deadfront.circuits.rules.protect.arc_fault import listed_rooms, rooms_ask, unclear_rooms
from deadfront.circuits.rules.protect.ground_fault import KIND as GROUND_FAULT
from deadfront.circuits.rules.protect.ground_fault import given_missing, outlet_given
from deadfront.circuits.rules.protect.points import ground_fault_asked, point_of
from deadfront.circuits.rules.protect.tell import WORD, Told, Truth, any_of, distinct, left_out, verdict, worst
from deadfront.circuits.rules.protect.work import line_to_neutral, nominal_volts, outlet_reach
from deadfront.job.panel_things import Circuit, Outlet
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing

IDS = ("protection.replaced_receptacle",)


class Demand(NamedTuple):
    """One thing that the place asks of the receptacle."""

    word: str
    outcome: Outcome
    missing: tuple[Missing, ...]


def checks(facts: Facts) -> Iterator[Check]:
    """Receptacles that the work replaces on circuits that stay."""
    for ident, say in left_out(facts.book, IDS[0], "receptacle_replacement"):
        yield Check(ident, "", Outcome.NOT_APPLICABLE, Severity.NOTE, say)
        return
    for outlet in facts.at.house.outlets:
        circuit = facts.circuits.get(outlet.circuit or "")
        if outlet.kind == "receptacle" and outlet_reach(facts, outlet, circuit) is Reach.REPLACED:
            yield _check(facts, outlet, circuit)


def _check(facts: Facts, outlet: Outlet, circuit: Circuit | None) -> Check:
    demands = tuple(_demands(facts, outlet, circuit))
    outcome = worst(each.outcome for each in demands)
    which = tuple(said(f"demand.{each.word}") for each in demands if each.outcome is outcome)
    say = said(
        f"check.protection.replaced_receptacle.{WORD[outcome]}",
        name=facts.name_of(outlet, "thing.by_id"), which=which,
    )  # fmt: skip
    missing = distinct(m for d in demands if d.outcome is Outcome.CANNOT_TELL for m in d.missing)
    remedy = said("remedy.protection.replaced_receptacle") if outcome is Outcome.FAILS else None
    cites = _cites(facts, [each.word for each in demands if each.outcome is outcome])
    return Check("protection.replaced_receptacle", outlet.id, outcome, Severity.CORRECT, say, Reach.REPLACED, None,
                 missing if outcome is Outcome.CANNOT_TELL else (), cites, remedy)  # fmt: skip


def _cites(facts: Facts, words: list[str]) -> tuple[Cite, ...]:
    """The items of the rule that bite, their numbers from memory, and the rule on places for ground fault."""
    items: Any = facts.book.rule("receptacle_replacement").params["items"]
    whole = facts.cite("receptacle_replacement")
    own = tuple(replace(whole, section=f"{whole.section}({items[word]})", status="memory") for word in words)
    places = (facts.cite("ground_fault_receptacles"),) if "ground_fault" in words else ()
    return (*(own or (whole,)), *places)


def _demands(facts: Facts, outlet: Outlet, circuit: Circuit | None) -> Iterator[Demand]:
    params: Any = facts.book.rule("receptacle_replacement").params
    breaker = facts.breaker_of(circuit) if circuit is not None else None
    volts_told = line_to_neutral(facts, circuit, breaker) if circuit is not None else Told(None)
    point = point_of(outlet, nominal_volts(volts_told.truth), breaker.rating_a if breaker is not None else None)
    asked = ground_fault_asked(facts.book, point)
    fields = tuple(_fields(facts, outlet, asked.lacking))
    yield _protected(facts, outlet, circuit, "ground_fault", GROUND_FAULT, Told(asked.truth, fields))
    if circuit is not None:
        yield _protected(facts, outlet, circuit, "arc_fault", ARC_FAULT, _arc_fault(facts, outlet, circuit, params))
        yield _no_ground(facts, outlet, circuit)
    unread = tuple(field for field in ("volts", "rating_a") if getattr(point, field) is None)
    small: Truth = None
    if point.volts is not None and point.rating_a is not None:
        small = point.volts <= params["tamper_volts"] and point.rating_a <= params["tamper_upto_a"]
    yield _device(facts, outlet, "tamper_resistant", Told(small, tuple(_fields(facts, outlet, unread))))
    wet = any_of((None if outlet.room is None else outlet.room == "outdoors", bool(outlet.damp)))
    yield _device(facts, outlet, "weather_resistant", Told(wet, tuple(_fields(facts, outlet, ("room",)))))


def _arc_fault(facts: Facts, outlet: Outlet, circuit: Circuit, params: Any) -> Told:
    """Whether arc-fault protection is asked for: by the rooms of the circuit (2014), or the outlet's room (2017 on)."""
    asked = rooms_ask(facts, circuit, facts.breaker_of(circuit))
    if params["arc_fault_by"] == "circuit" or asked.truth is False:
        return asked
    if outlet.room is None:
        return Told(None, tuple(_fields(facts, outlet, ("room",))))
    own = listed_rooms(facts, (outlet.room,)) or outlet.room in unclear_rooms(facts)
    return asked if own else Told(False)


def _no_ground(facts: Facts, outlet: Outlet, circuit: Circuit) -> Demand:
    """Where no ground comes into the box, a receptacle with a ground slot is protected against ground faults."""
    ground = circuit.cable.ground
    asked = Told(None if ground is None else ground == "none", facts.missing(circuit, "cable.ground"))
    return _protected(facts, outlet, circuit, "no_ground", GROUND_FAULT, asked)


def _protected(facts: Facts, outlet: Outlet, circuit: Circuit | None, word: str, kind: str, asked: Told) -> Demand:
    breaker = facts.breaker_of(circuit) if circuit is not None else None
    given = outlet_given(breaker, circuit, outlet, kind)
    outcome = verdict(asked.truth, given)
    lacking = asked.lacking if asked.truth is None else ()
    if given is None:
        more = given_missing(facts, circuit, breaker, outlet) if circuit is not None else ()
        lacking += (*more, *facts.missing(outlet, "circuit", "protection"))
    return Demand(word, outcome, lacking)


def _device(facts: Facts, outlet: Outlet, word: str, asked: Told) -> Demand:
    given: Truth = getattr(outlet, word)
    lacking = asked.lacking if asked.truth is None else ()
    return Demand(word, verdict(asked.truth, given), (*lacking, *facts.missing(outlet, word)))


def _fields(facts: Facts, outlet: Outlet, fields: tuple[str, ...]) -> Iterator[Missing]:
    for field in fields:
        what = said(f"todo.circuits.{field}", thing=facts.name_of(outlet, "thing.by_id"))
        yield Missing(facts.at.path(outlet, field), what, said(f"todo.how.circuits.{field}"))
