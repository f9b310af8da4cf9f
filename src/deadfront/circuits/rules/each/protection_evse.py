"""Vehicle charging: ground-fault protection of its receptacle, a circuit of its own, a disconnect, the receptacle."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.equipment import circuit_of, load_reach, outlet_of, protected
from deadfront.circuits.rules.protect.ground_fault import list_outlets
from deadfront.circuits.rules.protect.tell import WORD, Told, Truth, distinct, in_force, verdict
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Circuit, Outlet
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity

IDS = ("protection.evse", "protection.evse_circuit", "protection.evse_disconnect", "protection.evse_receptacle")


def checks(facts: Facts) -> Iterator[Check]:
    """Charging equipment that the work puts in, replaces or connects anew."""
    for load in facts.at.house.loads:
        if load.kind != "evse":
            continue
        circuit, outlet = circuit_of(facts, load), outlet_of(facts, load)
        reach = load_reach(facts, load, circuit, outlet)
        if reach not in TOUCHED:
            continue
        yield from _ground_fault(facts, load, circuit, outlet, reach)
        yield from _own_circuit(facts, load, circuit, reach)
        yield from _disconnect(facts, load, reach)
        yield from _receptacle(facts, load, circuit, outlet, reach)


def _cord(load: Load, outlet: Outlet | None) -> Truth:
    """Connected by cord and plug: as entered, else by its outlet."""
    if load.cord_and_plug is not None or outlet is None or outlet.kind is None:
        return load.cord_and_plug
    return outlet.kind == "receptacle"


def _made(
    facts: Facts, ident: str, load: Load, reach: Reach, asked: Told, met: Told, subject: str, word: str = ""
) -> Check:
    outcome = verdict(asked.truth, met.truth)
    parts = tuple(each for each in (asked, met) if each.truth is None)
    missing = distinct(m for each in parts for m in each.lacking) if outcome is Outcome.CANNOT_TELL else ()
    say = said(f"check.{ident}.{word or WORD[outcome]}", name=facts.name_of(load, "thing.by_id"))
    remedy = said(f"remedy.{ident}") if outcome is Outcome.FAILS else None
    return Check(ident, load.id, outcome, Severity.CORRECT, say, reach, None, missing, (facts.cite(subject),), remedy)


def _ground_fault(
    facts: Facts, load: Load, circuit: Circuit | None, outlet: Outlet | None, reach: Reach
) -> Iterator[Check]:
    """The receptacle for charging; hard-wired equipment is unconfirmed in 2026 and elsewhere not reached here."""
    if not in_force(facts.book, "evse_receptacle_ground_fault"):
        return
    params: Any = facts.book.rule("evse_receptacle_ground_fault").params
    cord = _cord(load, outlet)
    open_text = params["hard_wired"] == "unconfirmed"
    asked = Told(cord, facts.missing(load, "cord_and_plug"))
    if cord is False and open_text:
        asked = Told(None)
    means = protected(facts, circuit, outlet)
    means = Told(means.truth, (*facts.missing(load, "circuit"), *means.lacking))
    outcome = verdict(asked.truth, means.truth)
    word = "unconfirmed" if cord is False and open_text and outcome is Outcome.CANNOT_TELL else ""
    yield _made(facts, "protection.evse", load, reach, asked, means, "evse_receptacle_ground_fault", word)


def _own_circuit(facts: Facts, load: Load, circuit: Circuit | None, reach: Reach) -> Iterator[Check]:
    """A branch circuit of its own; from 2023 above 16 A or 120 V; shared where the load is managed (from 2020)."""
    params: Any = facts.book.rule("evse_branch_circuit").params
    if circuit is None:
        met = Told(None, facts.missing(load, "circuit"))
    else:
        others = tuple(each for each in facts.loads_on.get(circuit.id, ()) if each.id != load.id)
        extra = tuple(each for each in facts.outlets_on.get(circuit.id, ()) if each.load != load.id)
        if others and params["managed"] and all(each.kind == "evse" and each.managed_by for each in (load, *others)):
            met = Told(True)
        elif others or len(extra) > 1 or circuit.purpose not in (None, "individual"):
            met = Told(False)
        else:
            met = Told(True if circuit.purpose == "individual" else None, facts.missing(circuit, "purpose"))
    yield _made(facts, "protection.evse_circuit", load, reach, _over(facts, load, params), met, "evse_branch_circuit")


def _over(facts: Facts, load: Load, params: Any) -> Told:
    """Whether the equipment is above the rule's amperes or volts."""
    over_a, over_v = params["over_a"], params["over_v"]
    if not over_a and not over_v:
        return Told(True)
    volts = load.volts
    if (load.nameplate_a or 0) > over_a or (volts or 0) > over_v + 10:
        return Told(True)
    known = load.nameplate_a is not None and volts is not None
    return Told(False if known else None, facts.missing(load, "nameplate_a", "volts"))


def _disconnect(facts: Facts, load: Load, reach: Reach) -> Iterator[Check]:
    """A disconnect in a readily accessible place: above 60 A; from 2026 for all that is permanently connected."""
    if not in_force(facts.book, "evse_disconnect"):
        return
    params: Any = facts.book.rule("evse_disconnect").params
    over_a = params["over_a"]
    if over_a:
        size: Truth = None if load.nameplate_a is None else load.nameplate_a > over_a
        asked = Told(size, facts.missing(load, "nameplate_a"))
    else:
        cord = load.cord_and_plug
        asked = Told(None if cord is None else not cord, facts.missing(load, "cord_and_plug"))
    met = Told(load.charging_disconnect, facts.missing(load, "charging_disconnect"))
    yield _made(facts, "protection.evse_disconnect", load, reach, asked, met, "evse_disconnect")


def _receptacle(
    facts: Facts, load: Load, circuit: Circuit | None, outlet: Outlet | None, reach: Reach
) -> Iterator[Check]:
    """2026: receptacles of 30, 50 and 60 A listed for charging; none of 50 A on a circuit of 40 A."""
    if not in_force(facts.book, "evse_receptacle_rating") or _cord(load, outlet) is False:
        return
    listed_a: Any = facts.book.rule("evse_receptacle_rating").params["listed_a"]
    if outlet is None:
        lacking = (*facts.missing(load, "cord_and_plug", "circuit"), *list_outlets(facts))
        if not lacking:
            say = said("check.protection.evse_receptacle.unlisted", name=facts.name_of(load, "thing.by_id"))
            yield Check("protection.evse_receptacle", load.id, Outcome.CANNOT_TELL, Severity.CORRECT, say, reach, None,
                        (), (facts.cite("evse_receptacle_rating"),),
                        said("remedy.protection.evse_receptacle_unlisted"))  # fmt: skip
            return
        asked, met = Told(None, lacking), Told(None)
    else:
        rating_a = outlet.rating_a
        asked = Told(None if rating_a is None else rating_a in listed_a, facts.missing(outlet, "rating_a"))
        met = Told(outlet.listed_for_charging, facts.missing(outlet, "listed_for_charging"))
        breaker = facts.breaker_of(circuit) if circuit is not None else None
        if rating_a == 50 and breaker is not None and breaker.rating_a == 40:
            met = Told(False)
    yield _made(facts, "protection.evse_receptacle", load, reach, asked, met, "evse_receptacle_rating")
