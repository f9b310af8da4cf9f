"""Islands and states held against OpenDSS: what is live is what a solver finds voltage on, and legs carry what it says.

Independent: each closed device is a short line, each feed a source of volts, each place has a small load to ground; an
island without a feed comes out at no voltage.
"""

from __future__ import annotations

from random import Random

import pytest
from dss import DSS

from deadfront.app.answers import answer
from deadfront.job.house import house_at
from deadfront.topology.house_network import network_of
from deadfront.topology.network import Network
from deadfront.topology.states import Positions, live, states
from tests.isolation.houses import full_house

VOLTS = 120.0


def said(text: str) -> None:
    DSS.Text.Command = text


def with_voltage(network: Network, shut: set[str], off: set[str]) -> frozenset[str]:
    """Places that OpenDSS finds at more than half of the voltage."""
    number = {place: f"n{n}" for n, place in enumerate(network.places)}
    said("Clear")
    said(f"New Circuit.house basekv={VOLTS / 1000} phases=1 bus1=elsewhere pu=1 R1=0.001 X1=0.001 R0=0.001 X0=0.001")
    for n, feed in enumerate(each for each in network.feeds if each.id not in off):
        said(f"New Vsource.f{n} basekv={VOLTS / 1000} phases=1 bus1={number[feed.place]} pu=1 R1=0.01 X1=0.01 R0=0.01")
    for n, device in enumerate(each for each in network.devices if each.id not in shut):
        said(f"New Line.d{n} phases=1 bus1={number[device.a]} bus2={number[device.b]} R1=0.001 X1=0.001 R0=0.001 "
             f"X0=0.001 C1=0 C0=0 length=1")  # fmt: skip
    for place in network.places:
        said(f"New Load.l{number[place]} phases=1 bus1={number[place]} kv={VOLTS / 1000} kw=0.01 pf=1 model=2 vminpu=0")
    said("Set voltagebases=[0.208]")
    said("Solve")
    circuit = DSS.ActiveCircuit
    assert circuit.Solution.Converged
    found = {}
    for place, bus in number.items():
        circuit.SetActiveBus(bus)
        real, imaginary = circuit.ActiveBus.Voltages[:2]
        found[place] = (real**2 + imaginary**2) ** 0.5
    return frozenset(place for place, volts in found.items() if volts > VOLTS / 2)


def open_throws(network: Network, state: Positions) -> set[str]:
    return {throw for group in network.groups for throw in group.throws if throw not in state[group.id]}


def test_what_is_live_in_any_state_is_what_a_solver_finds_voltage_on() -> None:
    network = network_of(house_at(full_house(), None).house)
    dice, told = Random(7), set[bool]()
    switches = [each.id for each in network.devices if each.opens and each.kind != "throw"]
    feeds = [feed.id for feed in network.feeds]
    for state in [*states(network)] * 12:
        shut = {each for each in switches if dice.random() < 0.3}
        off = set(dice.sample(feeds, dice.randint(0, len(feeds))))
        ours = live(network, shut, state, off)
        assert ours == with_voltage(network, shut | open_throws(network, state), off)
        told |= {"bus/p-3bu" in ours}
    assert told == {True, False}  # the backed-up panel was live in some of the states and dead in others


def test_an_island_on_the_generator_carries_unequal_legs_as_the_panel_says() -> None:
    """The backed-up panel alone on the generator: legs and neutral by OpenDSS against those the panel stage told."""
    found = next(each for each in answer(full_house()).assessment.panels if each.id == "p-3bu")
    legs = [float(leg.value.low) for leg in found.balances[0].legs]
    assert legs[0] != pytest.approx(legs[1], abs=1), "legs that differ, else nothing is tried"
    said("Clear")
    said("New Circuit.island basekv=0.12 phases=1 bus1=g.1 pu=1 angle=0 R1=1e-6 X1=1e-6 R0=1e-6 X0=1e-6")
    said("New Vsource.other basekv=0.12 phases=1 bus1=g.2 pu=1 angle=180 R1=1e-6 X1=1e-6 R0=1e-6 X0=1e-6")
    for n, amperes in enumerate(legs, start=1):
        said(
            f"New Line.leg{n} phases=1 bus1=g.{n} bus2=p.{n} R1=0.0001 X1=0.0001 R0=0.0001 X0=0.0001 C1=0 C0=0 length=1"
        )
        said(f"New Load.leg{n} phases=1 bus1=p.{n}.3 kv=0.12 kw={0.12 * amperes} pf=1 model=2 vminpu=0")
    said("New Line.neutral phases=1 bus1=p.3 bus2=g.3 R1=0.0001 X1=0.0001 R0=0.0001 X0=0.0001 C1=0 C0=0 length=1")
    said("New Reactor.bond phases=1 bus1=g.3 bus2=g.0 R=0.0001 X=0")
    said("Set voltagebases=[0.208]")
    said("Solve")
    circuit = DSS.ActiveCircuit

    def flowing(line: str) -> float:
        circuit.SetActiveElement(f"Line.{line}")
        return float(circuit.ActiveCktElement.CurrentsMagAng[0])

    for n, amperes in enumerate(legs, start=1):
        assert flowing(f"leg{n}") == pytest.approx(amperes, rel=0.005)
    assert flowing("neutral") == pytest.approx(abs(legs[0] - legs[1]), rel=0.01)
    told = found.balances[0].neutral.value  # a range: not every load on that panel is listed
    assert float(told.low) <= flowing("neutral") and (told.high is None or flowing("neutral") <= float(told.high))
