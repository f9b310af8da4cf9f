"""Cables without a neutral where something asks for one: the bare ground would carry its current."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.runs.cases import panels_below, poles_of
from deadfront.circuits.rules.runs.checking import WORDS
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Breaker, Cable, Circuit, Panel
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("circuit.neutral", "feeder.neutral")
WITHOUT = 2  # insulated conductors of a cable that has no neutral at 240 V
BETWEEN_V = 150  # above it a load works from leg to leg
MOSTLY = ("range", "oven", "cooktop", "dryer")
"""Kinds that are mostly made for 120/240 V: whether this one is must be read."""


class Told(NamedTuple):
    """An outcome, the ending of its words, what they name, and the facts that would tell."""

    outcome: Outcome
    which: str = ""
    names: tuple[Msg, ...] = ()
    missing: tuple[Missing, ...] = ()


def checks(facts: Facts) -> Iterator[Check]:
    """Circuits and feeders of two insulated conductors that something with a neutral stands on, or may stand on."""
    for circuit in facts.at.house.circuits:
        breaker = facts.breaker_of(circuit)
        told = _circuit(facts, circuit, breaker)
        if told is not None:
            reach = facts.reach_of(circuit, breaker, *facts.loads_on.get(circuit.id, ()))
            yield from _said(facts, "circuit.neutral", circuit, told, reach)
    for panel in facts.at.house.panels:
        if _none_in(panel.feeder) and panel.fed_by not in (None, "service"):
            yield from _feeder(facts, panel)


def _none_in(cable: Cable) -> bool:
    """Two insulated conductors and no neutral; the bare one of entrance cable without a ground is a neutral."""
    entrance = (cable.type or "").upper().startswith("SE")
    return cable.conductors == WITHOUT and not (entrance and cable.ground in (None, "none"))


# --- branch circuits ------------------------------------------------------------------------------------------------
def _circuit(facts: Facts, circuit: Circuit, breaker: Breaker | None) -> Told | None:
    """What is said of one circuit; None where nothing is."""
    loads = facts.loads_on.get(circuit.id, ())
    poles = None if breaker is None else poles_of(breaker)
    if poles == 1 or not any(load.neutral or load.kind in MOSTLY for load in loads):
        return None
    if not _none_in(circuit.cable):
        return _conductors_open(facts, circuit, loads) if poles == WITHOUT else None
    needs = [load for load in loads if load.neutral and (poles == WITHOUT or _between_legs(load))]
    if needs:
        return Told(Outcome.FAILS)
    open_ = [load for load in loads if load.neutral is None and load.kind in MOSTLY]
    missing = tuple(_asked(facts, load) for load in open_)
    if poles is None and (open_ or any(load.neutral for load in loads)):
        missing += (facts.cases[circuit.id].lacks_poles(),)
    return Told(Outcome.CANNOT_TELL, missing=missing) if missing else None


def _between_legs(load: Load) -> bool:
    """Whether a load works between the legs, whatever its breaker is said to be."""
    return load.kind in MOSTLY if load.volts is None else load.volts > BETWEEN_V


def _conductors_open(facts: Facts, circuit: Circuit, loads: tuple[Load, ...]) -> Told | None:
    """Equipment that needs a neutral on conductors nobody counted; a new range circuit is asked by its own rule."""
    new_range = facts.reach_of(circuit) is Reach.NEW and any(load.kind in MOSTLY for load in loads)
    if circuit.cable.conductors is not None or new_range or not any(load.neutral for load in loads):
        return None
    return Told(Outcome.CANNOT_TELL, missing=facts.missing(circuit, "cable.conductors"))


def _asked(facts: Facts, load: Load) -> Missing:
    what = said("todo.circuits.neutral_needed", thing=facts.name_of(load, "thing.by_id"))
    return Missing(facts.at.path(load, "neutral"), what, said("todo.how.circuits.neutral_needed"))


# --- feeders --------------------------------------------------------------------------------------------------------
def _feeder(facts: Facts, panel: Panel) -> Iterator[Check]:
    """A panel fed without a neutral, and all that is fed from it, may hold 240 V circuits only."""
    below = panels_below(facts, panel)
    held = [each for each in facts.at.house.breakers if (p := facts.panel_of(each)) is not None and p.id in below]
    reach = facts.reach_of(panel, *held, facts.feeding(panel))
    yield from _said(facts, "feeder.neutral", panel, _needed(facts, panel, held), reach)


def _needed(facts: Facts, panel: Panel, held: list[Breaker]) -> Told:
    own = [each for each in held if facts.panel_of(each) is panel]
    if any(poles_of(each) == 1 for each in own):
        return Told(Outcome.FAILS)
    further = [home for each in held if poles_of(each) == 1 and (home := facts.panel_of(each)) is not None]
    if further:
        return Told(Outcome.FAILS, "fails_below", _names(facts, further))
    fed = [each for each in facts.at.house.circuits if (b := facts.breaker_of(each)) is not None and b in held]
    loads = [load for each in fed for load in facts.loads_on.get(each.id, ())]
    if any(load.neutral for load in loads):
        return Told(Outcome.FAILS, "fails_load", _names(facts, [load for load in loads if load.neutral]))
    missing = tuple(_feeder_lacks(facts, held, fed))
    return Told(Outcome.CANNOT_TELL if missing else Outcome.MEETS, missing=missing)


def _feeder_lacks(facts: Facts, held: list[Breaker], fed: list[Circuit]) -> Iterator[Missing]:
    """What must be known before a panel without a neutral passes: all breakers, their poles, what they feed."""
    if facts.at.house.complete.breakers != "yes":
        what, how = said("todo.circuits.all_breakers"), said("todo.how.circuits.all_breakers")
        yield Missing("before/complete.breakers", what, how)
    for breaker in held:
        if poles_of(breaker) is None:
            yield from facts.missing(breaker, "poles")
    for circuit in fed:
        loads = facts.loads_on.get(circuit.id, ())
        if not loads and circuit.cable.conductors != WITHOUT:  # two wires take no neutral out of the panel
            yield from facts.missing(circuit, "cable.conductors")
        yield from (_asked(facts, load) for load in loads if load.neutral is None and load.kind in MOSTLY)


def _names(facts: Facts, things: list[Panel] | list[Load]) -> tuple[Msg, ...]:
    return tuple(dict.fromkeys(facts.name_of(each, "thing.by_id") for each in things))


# --- words ----------------------------------------------------------------------------------------------------------
def _said(facts: Facts, ident: str, thing: Thing, told: Told, reach: Reach) -> Iterator[Check]:
    """One check; of what the work leaves alone only what is a danger."""
    outcome = told.outcome
    if reach not in TOUCHED and outcome is not Outcome.FAILS:
        return
    name = facts.name_of(thing, "thing.by_id")
    say = said(f"check.{ident}.{told.which or WORDS[outcome]}", name=name, needs=told.names)
    cites = (facts.cite("three_wire_appliance" if ident == "circuit.neutral" else "neutral_joins"),)
    remedy = said(f"remedy.{ident}") if outcome is Outcome.FAILS else None
    bad = Severity.DANGER if outcome is Outcome.FAILS else Severity.CORRECT
    yield Check(ident, thing.id, outcome, bad, say, reach, None, told.missing, cites, remedy)
