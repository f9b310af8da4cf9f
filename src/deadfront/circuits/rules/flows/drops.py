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
from deadfront.circuits.rules.flows.drop_steps import BREAKER_80, Amperes, DropCase, Factor, Flow, drop_percent
from deadfront.circuits.rules.flows.fault_points import feeder_cases
from deadfront.circuits.rules.flows.segments import SegmentCase, of_cable, of_conductors
from deadfront.codebook.kinds import load_kinds
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, Interval, point
from deadfront.results.circuits import Drop, Run
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

_ONE = Decimal(1)


def voltage_drops(facts: Facts) -> tuple[Drop, ...]:
    """Drops of the service, of feeders, then of circuits; of untouched ones only where length and size are known."""
    if facts.at.house.service.system is None:
        return ()
    ways = _Ways(facts)
    found = (*ways.service(), *ways.feeders(), *ways.circuits())
    return tuple(found)


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
        self.wye = not str(facts.at.house.service.system).startswith("120/240")
        self.two_of_wye = facts.at.house.service.system == "208Y/120 1ph 3w"
        self.lines = "nominal_volts_208" if self.wye else "nominal_volts_240"
        self.unknown = Factor(facts.number("power_factor_unknown"), _ONE, False)
        service = facts.at.house.service
        self.drop = of_conductors("drop", "before/service.drop", said("flow.drop"), service.drop)
        self.conductors = of_conductors(
            "service", "before/service.conductors", said("flow.service"), service.conductors
        )
        self.service_a = self._load("service", "flow.service_load")
        self.ahead_of: dict[str, tuple[tuple[SegmentCase, Amperes], ...]] = {}

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
            here = self._percent("drop/service/here", self.lines, (self._legs(self.conductors, self.service_a),))
            yield Drop("service", here, self._whole("service", here, self.lines, self._ahead_of_service()))

    def _ahead_of_service(self) -> tuple[Flow, ...]:
        return tuple(self._legs(each, self.service_a) for each in (self.drop, self.conductors))

    def _legs(self, length: SegmentCase, amperes: Amperes) -> Flow:
        return Flow(length, amperes, None, self.unknown)

    def _percent(self, ident: str, volts: str, flows: tuple[Flow, ...]) -> Step:
        return drop_percent(DropCase(self.facts.book, ident, volts, flows))

    def _whole(self, of: str, here: Step, volts: str, flows: tuple[Flow, ...]) -> Step:
        """From the transformer on; at least what is lost on the run itself where something ahead is not known."""
        lacks = [missing for flow in flows for missing in self._lacks(flow)]
        if lacks:
            return build.between_cases(f"drop/{of}/all", "flow.drop_all", here, None, unit="%",
                                       missing=tuple(dict.fromkeys(lacks)))  # fmt: skip
        step = self._percent(f"drop/{of}/all", volts, flows)
        return replace(step, name=said("flow.drop_all"))

    def _lacks(self, flow: Flow) -> Iterator[Missing]:
        """Facts without which a length has no upper bound on what it loses."""
        case = flow.length
        for field, value in (("length_ft", case.length_ft), ("size", case.size)):
            if not value:
                yield Missing(f"{case.path}.{field}", said(f"todo.circuits.{field}", thing=case.what),
                              said(f"todo.how.circuits.{field}"))  # fmt: skip
        if flow.neutral is not None and not case.neutral_as_leg and case.neutral_size is None:
            yield Missing(f"{case.path}.neutral_size", said("todo.circuits.neutral_size", thing=case.what),
                          said("todo.how.circuits.neutral_size"))  # fmt: skip
        if flow.leg.value.high is None:
            yield from flow.leg.missing

    # --- feeders ------------------------------------------------------------------------------------------------------
    def feeders(self) -> Iterator[Drop]:
        """Along every feeder whose length and size are known, leg to leg."""
        for panel in self.facts.at.house.panels:
            flows = self._ahead(panel)
            own = [flow for flow in flows if flow.length.ident == f"feeder/{panel.id}"]
            if own and panel.feeder.length_ft and panel.feeder.size and own[0].leg.value.high is not None:
                here = self._percent(f"drop/{panel.id}/here", self.lines, (own[0],))
                yield Drop(panel.id, here, self._whole(panel.id, here, self.lines, flows))

    def _ahead(self, panel: Panel) -> tuple[Flow, ...]:
        """Every length from the transformer to a panel with the load on it; none where nothing known feeds it."""
        return tuple(self._legs(length, amperes) for length, amperes in self._lengths(panel))

    def _lengths(self, panel: Panel) -> tuple[tuple[SegmentCase, Amperes], ...]:
        if panel.id not in self.ahead_of:
            found = [(self.drop, self.service_a), (self.conductors, self.service_a)]
            chain = self.facts.graph.feeds.get(panel.id, ())
            for each in chain:
                amperes = self._feeder_load(self.facts.panels[each])
                found += [(case, amperes) for case in feeder_cases(self.facts, self.facts.panels[each])]
            self.ahead_of[panel.id] = tuple(found) if chain else ()
        return self.ahead_of[panel.id]

    def _feeder_load(self, panel: Panel) -> Amperes:
        """The feeder's load; the service's where it feeds the only panel at the service; else 80 % of its breaker."""
        known = self._load(panel.id, "flow.feeder_load")
        if known.value.high is not None:
            return known
        if len(self.facts.graph.feeds.get(panel.id, ())) == 1:
            return self.service_a
        return self._basis(self.facts.breakers.get(panel.fed_by or "")) or known

    def _basis(self, breaker: Breaker | None) -> Amperes | None:
        """80 % of a breaker's rating: the named basis where the load is not known."""
        if breaker is None or breaker.rating_a is None:
            return None
        share = self.facts.number("voltage_drop_basis_percent") / 100
        return Amperes(said("flow.basis", rating=breaker.rating_a), point(breaker.rating_a * share),
                       assumed=(BREAKER_80,))  # fmt: skip

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
        amperes = self._circuit_load(run, breaker)
        to_neutral = self._to_neutral(run, breaker)
        if amperes is None or to_neutral is None:
            return
        name = facts.name_of(circuit, "thing.by_id")
        case = of_cable(f"circuit/{circuit.id}", facts.at.path(circuit, "cable"), said("flow.circuit", thing=name),
                        circuit.cable, facts.raceways.get(circuit.cable.raceway or ""))  # fmt: skip
        volts = "nominal_volts_120" if to_neutral else self.lines
        factor = self._factor(facts.loads_on.get(circuit.id, ()))
        own = Flow(case, amperes, amperes if to_neutral else None, factor)
        here = self._percent(f"drop/{circuit.id}/here", volts, (own,))
        panel = facts.panel_of(breaker)
        ahead = self._lengths(panel) if panel is not None else ()
        flows = tuple(
            Flow(length, load, self._back(amperes, load) if to_neutral else None, self.unknown)
            for length, load in ahead
        )
        yield Drop(circuit.id, here, self._whole(circuit.id, here, volts, (*flows, own)) if ahead else None)

    def _circuit_load(self, run: Run | None, breaker: Breaker) -> Amperes | None:
        load = run.load if run is not None else None
        if load is not None and load.value.high:
            missing = () if load.value.exact else load.all_missing()
            return Amperes(said("flow.circuit_load"), load.value, missing, load.all_assumed())
        return self._basis(breaker)

    def _to_neutral(self, run: Run | None, breaker: Breaker) -> bool | None:
        """True for a circuit from leg to neutral, None where its poles are not known."""
        if run is not None and run.volts is not None:
            return bool(run.volts.value.low < 200)
        return None if breaker.poles is None else breaker.poles == 1

    def _back(self, own: Amperes, leg: Amperes) -> Amperes:
        """Current of the neutral ahead of the circuit."""
        if not self.two_of_wye:
            return own
        high = None if own.value.high is None or leg.value.high is None else max(own.value.high, leg.value.high)
        low = min(own.value.low, leg.value.low)
        return Amperes(said("flow.neutral_of_wye"), Interval(low, high), (*own.missing, *leg.missing),
                       (*own.assumed, *leg.assumed))  # fmt: skip

    def _factor(self, loads: tuple[Load, ...]) -> Factor:
        """Power factor of what is on a circuit: as marked, 1 for heat, else between 0.8 and 1."""
        if not loads:
            return self.unknown
        found = [self._of_load(each) for each in loads]
        return Factor(min(f.low for f in found), max(f.high for f in found), all(f.known for f in found))

    def _of_load(self, load: Load) -> Factor:
        if load.power_factor is not None:
            return Factor(load.power_factor, load.power_factor, True)
        kind = load_kinds().get(load.kind)
        heat = kind is not None and (kind.resistive or kind.group in ("cooking", "dryer")) and not load.motor
        return Factor(_ONE, _ONE, True) if heat else self.unknown
