"""Voltage drop of every circuit, feeder and of the service at its load: along it, and all the way from the transformer.

A leg-to-neutral circuit loses voltage on its leg and on its neutral. On the lengths ahead of it the rest of the load is
taken as balanced, so that the neutral there carries this circuit's own current; on two legs of a wye the neutral never
balances, and the range goes up to the current of the leg.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.flows.circuit_drop import (
    NOTHING,
    UNITY,
    Ahead,
    CircuitCase,
    ahead_of,
    basis,
    circuit_drop,
    whole_drop,
)
from deadfront.circuits.rules.flows.drop_steps import Amperes, DropCase, Factor, Flow, drop_percent
from deadfront.circuits.rules.flows.fault_points import feeder_cases
from deadfront.circuits.rules.flows.segments import SegmentCase, of_conductors
from deadfront.codebook.kinds import load_kinds
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.msg import said
from deadfront.quantities import UNKNOWN
from deadfront.results.circuits import Drop, Run
from deadfront.worksheet.step import Step


def voltage_drops(facts: Facts) -> tuple[Drop, ...]:
    """Drops of the service, of feeders, then of circuits; of untouched ones only where length and size are known."""
    if facts.at.house.service.system is None:
        return ()
    ways = _Ways(facts)
    return (*ways.service(), *ways.feeders(), *ways.circuits())


def with_drops(runs: tuple[Run, ...], drops: tuple[Drop, ...]) -> tuple[Run, ...]:
    """The runs with their voltage drops."""
    by_run = {each.of: each for each in drops}
    return tuple(
        replace(run, drop=found.here, drop_all=found.all_along) if (found := by_run.get(run.of)) else run
        for run in runs
    )


class _Ways:
    """What all drops of one house share: runs by id, what is unknown of power factors, the lengths ahead of a panel."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.runs = {each.of: each for each in facts.runs}
        service = facts.at.house.service
        self.lines = "nominal_volts_240" if str(service.system).startswith("120/240") else "nominal_volts_208"
        self.two_of_wye = service.system == "208Y/120 1ph 3w"
        self.unknown = Factor(facts.number("power_factor_unknown"), Decimal(1), False)
        path = "before/service.conductors"
        self.drop = of_conductors("drop", "before/service.drop", said("flow.drop"), service.drop)
        self.conductors = of_conductors("service", path, said("flow.service"), service.conductors)
        self.service_a = self._load("service", "flow.service_load")
        self.ahead: dict[str, Ahead] = {}

    def _load(self, of: str, name: str) -> Amperes:
        """Load of the service or a feeder as its run has it."""
        run = self.runs.get(of)
        load = run.load if run is not None else None
        if load is None and of == "service":
            method = self.facts.load.method(self.facts.load.relied)
            load = method.amperes if method is not None else None
        if load is None:
            return Amperes(said(name), UNKNOWN)
        return Amperes(said(name), load.value, load.all_missing() if not load.value.exact else (), load.all_assumed())

    def service(self) -> Iterator[Drop]:
        """Along the service conductors, and with the utility's drop ahead of them."""
        c = self.facts.at.house.service.conductors
        if c.length_ft and c.size:
            here = self._percent("drop/service/here", (self._legs(self.conductors, self.service_a),))
            flows = tuple(self._legs(each, self.service_a) for each in (self.drop, self.conductors))
            yield Drop("service", here, whole_drop(self.facts.book, "service", here, self.lines, flows))

    def _legs(self, length: SegmentCase, amperes: Amperes) -> Flow:
        return Flow(length, amperes, None, self.unknown)

    def _percent(self, ident: str, flows: tuple[Flow, ...]) -> Step:
        return drop_percent(DropCase(self.facts.book, ident, self.lines, flows))

    # --- feeders ------------------------------------------------------------------------------------------------------
    def feeders(self) -> Iterator[Drop]:
        """Along every feeder whose length and size are known, leg to leg."""
        for panel in self.facts.at.house.panels:
            flows = tuple(self._legs(length, amperes) for length, amperes in self.lengths(panel).lengths)
            own = [flow for flow in flows if flow.length.ident == f"feeder/{panel.id}"]
            if own and panel.feeder.length_ft and panel.feeder.size and own[0].leg.value.high is not None:
                here = self._percent(f"drop/{panel.id}/here", (own[0],))
                yield Drop(panel.id, here, whole_drop(self.facts.book, panel.id, here, self.lines, flows))

    def lengths(self, panel: Panel) -> Ahead:
        """Every length from the transformer to a panel with the load on it; none where nothing known feeds it."""
        if panel.id not in self.ahead:
            found = [(self.drop, self.service_a), (self.conductors, self.service_a)]
            chain = self.facts.graph.feeds.get(panel.id, ())
            for each in chain:
                amperes = self._feeder_load(self.facts.panels[each])
                found += [(case, amperes) for case in feeder_cases(self.facts, self.facts.panels[each])]
            self.ahead[panel.id] = ahead_of(tuple(found), self.unknown) if chain else NOTHING
        return self.ahead[panel.id]

    def _feeder_load(self, panel: Panel) -> Amperes:
        """The feeder's load; the service's where the panel stands at the service; else 80 % of its breaker."""
        known = self._load(panel.id, "flow.feeder_load")
        if known.value.high is not None:
            return known
        if len(self.facts.graph.feeds.get(panel.id, ())) == 1:
            return self.service_a
        breaker = self.facts.feeding(panel)
        return basis(self.facts.book, breaker.rating_a) if breaker is not None and breaker.rating_a else known

    # --- circuits -----------------------------------------------------------------------------------------------------
    def circuits(self) -> Iterator[Drop]:
        """Along every circuit whose length and size are known, and every one that the work touches."""
        for circuit in self.facts.at.house.circuits:
            breaker = self.facts.breaker_of(circuit)
            known = bool(circuit.cable.length_ft and circuit.cable.size)
            if breaker is not None and (known or self.facts.reach_of(circuit, breaker) in TOUCHED):
                yield from self._circuit(circuit, breaker)

    def _circuit(self, circuit: Circuit, breaker: Breaker) -> Iterator[Drop]:
        facts, run = self.facts, self.runs.get(circuit.id)
        to_neutral = _to_neutral(run, breaker)
        load = run.load if run is not None and run.load is not None and run.load.value.high else None
        if to_neutral is None or (load is None and breaker.rating_a is None):
            return
        raceway = facts.raceways.get(circuit.cable.raceway or "")
        panel = facts.panel_of(breaker)
        yield circuit_drop(CircuitCase(
            facts.book, circuit.id, facts.at.path(circuit, "cable"), facts.name_of(circuit, "thing.by_id"),
            circuit.cable, raceway.kind if raceway is not None else None, load, breaker.rating_a, to_neutral,
            self.lines, self._factor(facts.loads_on.get(circuit.id, ())), self.two_of_wye,
            self.lengths(panel) if panel is not None else NOTHING,
        ))  # fmt: skip

    def _factor(self, loads: tuple[Load, ...]) -> Factor:
        """Power factor of what is on a circuit: as marked, 1 for heat, else between 0.8 and 1."""
        found = [self._of_load(each) for each in loads] or [self.unknown]
        if len(found) == 1:
            return found[0]
        return Factor(min(f.low for f in found), max(f.high for f in found), all(f.known for f in found))

    def _of_load(self, load: Load) -> Factor:
        if load.power_factor is not None:
            return Factor(load.power_factor, load.power_factor, True)
        kind = load_kinds().get(load.kind)
        heat = kind is not None and (kind.resistive or kind.group in ("cooking", "dryer")) and not load.motor
        return UNITY if heat else self.unknown


def _to_neutral(run: Run | None, breaker: Breaker) -> bool | None:
    """True for a circuit from leg to neutral, None where its poles are not known."""
    if run is not None and run.volts is not None:
        return bool(run.volts.value.low < 200)
    return None if breaker.poles is None else breaker.poles == 1
