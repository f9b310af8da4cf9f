"""What is shed: nothing that guards life, nothing that the control itself needs, nothing that is never to be shed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from deadfront.job.panel_things import Circuit
from deadfront.job.source_things import Signal
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome, Severity

LIFE, OWN, LIST = "signal.life_safety", "signal.control_power", "signal.shed_list"
IDS = (LIFE, OWN, LIST)
OPENS = ("controllable breakers", "controller")
LOADS = {"sewage_ejector": "sewage ejector"}


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every signal that sheds, with the circuits on its list."""
    circuits = {each.id: each for each in facts.at.house.circuits}
    for signal in facts.at.house.signals:
        if signal.purpose == "shed load":
            listed = [circuits[each] for each in signal.loads if each in circuits]
            yield from _list(facts, signal, listed)
            yield from _life(facts, signal, listed)
            yield from _own(facts, signal, listed)
    yield from _controlled(facts)


def _controlled(facts: SourceFacts) -> Iterator[Check]:
    """Circuits that an energy management system or gear may open, where one is known to carry what guards life.

    Alarms on such a circuit are a finding of the circuits stage already.
    """
    house = facts.at.house
    by: dict[str, Thing] = {each: system for system in house.energy_management for each in system.controls}
    by |= {each: gear for gear in house.gear if gear.kind in OPENS or gear.remote_opening for each in gear.serves}
    on = {each.circuit: each.id for each in house.loads if each.circuit}
    for circuit in house.circuits:
        system = by.get(circuit.id) or by.get(circuit.breaker or "") or by.get(on.get(circuit.id, ""))
        what = guards(facts, circuit)
        if system is not None and what not in (None, "none") and "smoke alarms" not in circuit.outlet_kinds:
            yield from _found(facts, system, circuit, str(what))


def guards(facts: SourceFacts, circuit: Circuit) -> str | None:
    """What on a circuit must never be shed: "none" for nothing, None where that is not known."""
    if circuit.life_safety not in (None, "none"):
        return circuit.life_safety
    if "smoke alarms" in circuit.outlet_kinds:
        return "smoke alarms"
    kinds = [LOADS[each.kind] for each in facts.at.house.loads if each.circuit == circuit.id and each.kind in LOADS]
    return kinds[0] if kinds else circuit.life_safety


def _list(facts: SourceFacts, signal: Signal, listed: list[Circuit]) -> Iterator[Check]:
    """The list is there, and no circuit on it is one that is never shed."""
    both = tuple(_name(facts, each) for each in listed if each.id in signal.never)
    outcome = Outcome.FAILS if both else Outcome.MEETS if listed else Outcome.CANNOT_TELL
    yield from tell(LIST, signal.id, outcome, facts.reach_of(signal), outcome.name.lower(), facts.name_of(signal),
                    cites=(facts.cite("listing_and_instructions"),), missing=facts.missing(signal, "loads"),
                    circuits=both, count=len(listed))  # fmt: skip


def _life(facts: SourceFacts, signal: Signal, listed: list[Circuit]) -> Iterator[Check]:
    told = {each.id: guards(facts, each) for each in listed}
    wrong = [each for each in listed if told[each.id] not in (None, "none")]
    open_ones = [each for each in listed if told[each.id] is None]
    for each in wrong:
        yield from _found(facts, signal, each, str(told[each.id]))
    if wrong or not listed:
        return
    outcome = Outcome.CANNOT_TELL if open_ones else Outcome.MEETS
    missing = tuple(facts.lack(each, "life_safety") for each in open_ones)
    yield from tell(LIFE, signal.id, outcome, facts.reach_of(signal, *listed), outcome.name.lower(),
                    facts.name_of(signal), cites=(), severity=Severity.DANGER, missing=missing,
                    circuits=tuple(_name(facts, each) for each in open_ones))  # fmt: skip


def _found(facts: SourceFacts, signal: Thing, circuit: Circuit, what: str) -> Iterator[Check]:
    yield from tell(LIFE, circuit.id, Outcome.FAILS, facts.reach_of(signal, circuit), "fails", facts.name_of(signal),
                    cites=(), severity=Severity.DANGER, hazard=True, circuit=_name(facts, circuit),
                    what=said(f"signal.guards.{what.replace(' ', '_').lower()}"))  # fmt: skip


def _own(facts: SourceFacts, signal: Signal, listed: list[Circuit]) -> Iterator[Check]:
    """Control power and the gear's own supply are not on the list."""
    powers = _powers(facts)
    wrong = tuple(_name(facts, each) for each in listed if powers & {each.id, each.breaker or ""})
    lacking = facts.missing(signal, "powered_by")
    outcome = Outcome.FAILS if wrong else Outcome.CANNOT_TELL if lacking else Outcome.MEETS
    if listed:
        yield from tell(OWN, signal.id, outcome, facts.reach_of(signal), outcome.name.lower(), facts.name_of(signal),
                        cites=(facts.cite("listing_and_instructions"),), missing=lacking, circuits=wrong)  # fmt: skip


def _powers(facts: SourceFacts) -> frozenset[str]:
    """Circuits and breakers that signals and controlling gear live on."""
    house = facts.at.house
    named = [each.powered_by for each in house.signals] + [each.circuit for each in house.gear]
    named += [feed for each in house.transfers for feed in each.control_feeds]
    return frozenset(each for each in named if each)


def _name(facts: SourceFacts, circuit: Circuit) -> Msg:
    breakers: Mapping[str, object] = facts.breakers
    breaker = breakers.get(circuit.breaker or "")
    spaces = getattr(breaker, "spaces", ())
    if circuit.name or not spaces:
        return facts.name_of(circuit)
    return said("thing.circuit_in", spaces=tuple(str(each) for each in spaces))
