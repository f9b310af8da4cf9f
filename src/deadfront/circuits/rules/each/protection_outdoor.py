"""Ground-fault protection of outlets outdoors that are no receptacles, with the dates for heating and cooling."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.equipment import circuit_of, load_reach, outlet_of, protected, rated_upto
from deadfront.circuits.rules.protect.ground_fault import list_outlets
from deadfront.circuits.rules.protect.tell import WORD, Told, Truth, all_of, distinct, in_force, left_out, verdict
from deadfront.circuits.rules.protect.work import outlet_reach
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Circuit, Outlet
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("protection.outdoor_equipment",)


def checks(facts: Facts) -> Iterator[Check]:
    """Hard-wired equipment, by its load, and hard-wired outlets whose load is not listed."""
    for ident, say in left_out(facts.book, IDS[0], "ground_fault_outdoor"):
        yield Check(ident, "", Outcome.NOT_APPLICABLE, Severity.NOTE, say)
        return
    if not in_force(facts.book, "ground_fault_outdoor"):
        return
    params: Any = facts.book.rule("ground_fault_outdoor").params
    for load in facts.at.house.loads:
        if load.cord_and_plug is True:
            continue
        circuit, outlet = circuit_of(facts, load), outlet_of(facts, load)
        if outlet is not None and outlet.kind not in (None, "hard-wired"):
            continue
        reach = load_reach(facts, load, circuit, outlet)
        if reach in TOUCHED and (reach is not Reach.REPLACED or params["on_replacement"]):
            yield from _check(facts, params, load, circuit, outlet, reach)
    for outlet in facts.at.house.outlets:
        if outlet.kind != "hard-wired" or outlet.load is not None:
            continue
        circuit = facts.circuits.get(outlet.circuit or "")
        reach = outlet_reach(facts, outlet, circuit)
        if reach in TOUCHED:
            yield from _check(facts, params, None, circuit, outlet, reach)


def _check(
    facts: Facts, params: Any, load: Load | None, circuit: Circuit | None, outlet: Outlet | None, reach: Reach
) -> Iterator[Check]:
    place = _in_place(facts, params, load, circuit, outlet)
    if place.truth is False:
        return
    excepted, cause = _excepted(facts, params, load, outlet)
    rating = rated_upto(facts, circuit, params["rating_upto_a"])
    asked = all_of((place.truth, rating.truth, None if excepted.truth is None else not excepted.truth))
    means = protected(facts, circuit, outlet)
    outcome = verdict(asked, means.truth)
    lacking: tuple[Missing, ...] = ()
    if outcome is Outcome.CANNOT_TELL:
        parts = (place, rating, excepted) if asked is None else ()
        if circuit is None:
            means = Told(None, facts.missing(load if load is not None else outlet, "circuit"))  # type: ignore[arg-type]
        lacking = distinct(m for each in (*parts, means) if each.truth is None for m in each.lacking)
    thing: Thing = load if load is not None else outlet  # type: ignore[assignment]  # one of them is given
    say = _say(facts, outcome, facts.name_of(thing, "thing.by_id"), excepted.truth, cause)
    remedy = said("remedy.protection.outdoor_equipment") if outcome is Outcome.FAILS else None
    cites = [facts.cite("ground_fault_outdoor")]
    if cause:
        cites.append(facts.book.value("outdoor_climate_until").cite)
    yield Check("protection.outdoor_equipment", thing.id, outcome, Severity.CORRECT, say, reach, None, lacking,
                tuple(cites), remedy)  # fmt: skip


def _say(facts: Facts, outcome: Outcome, name: Msg, excepted: Truth, cause: str) -> Msg:
    """The finding; with the date, where the exception for heating and cooling is what it turns on."""
    until = _until(facts)
    turns_on_date = {
        Outcome.CANNOT_TELL: excepted is None,
        Outcome.NOT_APPLICABLE: excepted is True,
        Outcome.FAILS: True,
    }
    if cause and until is not None and turns_on_date.get(outcome):
        key = f"check.protection.outdoor_equipment.{WORD[outcome]}_date"
        return said(key, name=name, until=until.isoformat())
    if cause == "climate" and until is None and outcome is Outcome.FAILS:
        return said("check.protection.outdoor_equipment.fails_amendment", name=name)
    return said(f"check.protection.outdoor_equipment.{WORD[outcome]}", name=name)


def _in_place(facts: Facts, params: Any, load: Load | None, circuit: Circuit | None, outlet: Outlet | None) -> Told:
    """Whether the outlet stands where the rule reaches; None where its room is not known."""
    if outlet is not None and outlet.room is not None:
        return Told(outlet.room in params["rooms"])
    if outlet is not None:
        return Told(None, facts.missing(outlet, "room"))
    if load is None or load.kind not in params["may_kinds"]:
        everywhere = circuit is not None and circuit.rooms and all(r in params["rooms"] for r in circuit.rooms)
        return Told(bool(everywhere))
    if circuit is None:
        return Told(None, facts.missing(load, "circuit"))
    inside = tuple(each in params["rooms"] for each in circuit.rooms)
    if inside and len(set(inside)) == 1:
        return Told(inside[0])
    if inside and facts.at.house.complete.outlets == "yes":
        return Told(True)  # its outlet is not listed though all are said to be: taken to stand where the rule reaches
    return Told(None, facts.missing(circuit, "rooms") or list_outlets(facts))


def _excepted(facts: Facts, params: Any, load: Load | None, outlet: Outlet | None) -> tuple[Told, str]:
    """Whether a named exception holds, and "climate" where it is that for heating and cooling."""
    exempt = outlet.exempt if outlet is not None else None
    if exempt in params["exempt"]:
        return Told(True), ""
    if exempt != "listed HVAC" and (load is None or load.kind not in params["climate_kinds"]):
        return Told(False), ""
    until = _until(facts)
    if until is None:
        return Told(False), "climate"
    listed: Truth = True if exempt == "listed HVAC" else load.listed if load is not None else None
    before: Truth = None if facts.permit_on is None else facts.permit_on < until
    lacking: tuple[Missing, ...] = ()
    if listed is None and load is not None:
        lacking += facts.missing(load, "listed")
    if before is None:
        lacking += (Missing("job.permit_on", said("todo.circuits.permit_on"), said("todo.how.circuits.permit_on")),)
    return Told(all_of((listed, before)), lacking), "climate"


def _until(facts: Facts) -> date | None:
    """The day from which heating and cooling outdoors is excepted no longer; None: it never was."""
    number = facts.number("outdoor_climate_until")
    if number == Decimal(0):
        return None
    text = str(int(number))
    try:
        return date(int(text[:4]), int(text[4:6]), int(text[6:]))
    except ValueError:
        return None
