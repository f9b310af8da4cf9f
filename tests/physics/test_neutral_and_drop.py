"""Neutral current, lost neutrals and voltage drop: figures by hand, limits by algebra, examples in the docstrings."""

from __future__ import annotations

import doctest
import importlib
from math import cos, radians, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from deadfront.errors import NoSolution
from deadfront.physics.drop import effective_impedance, phasor_drop, resistance_at
from deadfront.physics.linear import factored, inverse
from deadfront.physics.neutral import neutral_current, open_neutral_volts
from deadfront.physics.nodal import Network

MODULES = ("linear", "nodal", "transformers", "service_network", "neutral", "drop", "faults")
amps = st.floats(0, 200)


def test_every_example_in_the_docstrings_holds() -> None:
    tried = 0
    for name in MODULES:
        found = doctest.testmod(importlib.import_module(f"deadfront.physics.{name}"))
        assert found.failed == 0, name
        tried += found.attempted
    assert tried >= 12


@given(amps, amps, st.floats(0, 75), st.floats(0, 75))
def test_split_phase_neutral_by_the_law_of_cosines(one: float, two: float, first: float, second: float) -> None:
    """Independent: sqrt(I1^2 + I2^2 - 2 I1 I2 cos(phi1 - phi2))."""
    factors = (cos(radians(first)), cos(radians(second)))
    found = neutral_current("120/240 1ph 3w", (one, two), factors)
    square = one**2 + two**2 - 2 * one * two * cos(radians(first - second))
    assert found == pytest.approx(sqrt(max(square, 0)), abs=1e-4)


@given(amps, amps)
def test_two_legs_of_a_wye_never_balance(one: float, two: float) -> None:
    """Independent: sqrt(I1^2 + I2^2 - I1 I2); equal currents give the same current again."""
    found = neutral_current("208Y/120 1ph 3w", (one, two))
    assert found == pytest.approx(sqrt(max(one**2 + two**2 - one * two, 0)), abs=1e-6)


@given(amps, amps, amps)
def test_the_neutral_of_three_phases(a: float, b: float, c: float) -> None:
    """Independent: sqrt(A^2 + B^2 + C^2 - AB - BC - CA)."""
    square = a * a + b * b + c * c - a * b - b * c - c * a
    assert neutral_current("208Y/120 3ph 4w", (a, b, c)) == pytest.approx(sqrt(max(square, 0)), abs=1e-4)


def test_swapped_legs_change_nothing() -> None:
    for system in ("120/240 1ph 3w", "208Y/120 1ph 3w"):
        there, back = (neutral_current(system, legs) for legs in ((40, 31), (31, 40)))
        assert there == pytest.approx(back, abs=1e-12)


@given(st.floats(1, 500), st.floats(1, 500), st.floats(0.001, 50))
def test_a_bad_neutral_agrees_with_the_network(one: float, two: float, left: float) -> None:
    net = Network("T")
    net.coupled([("L1", "T")], [[1e-9]], [120])
    net.coupled([("T", "L2")], [[1e-9]], [120])
    net.impedance("T", "N", left)
    net.impedance("L1", "N", one)
    net.impedance("N", "L2", two)
    found = net.solved()
    volts = open_neutral_volts(one, two, neutral_ohm=left)
    assert abs(found["L1"] - found["N"]) == pytest.approx(volts[0], rel=1e-5)
    assert abs(found["N"] - found["L2"]) == pytest.approx(volts[1], rel=1e-5)


def test_an_open_neutral_gives_the_lighter_load_the_higher_voltage() -> None:
    """Hand: V1 = 240 G2/(G1 + G2): 10 and 30 ohm share 240 V as 60 and 180."""
    assert open_neutral_volts(10, 30) == pytest.approx((60, 180))
    assert open_neutral_volts(10, 30, neutral_ohm=1e-9) == pytest.approx((120, 120))


def test_exact_drop_is_at_most_that_of_effective_impedance_and_close_to_it() -> None:
    for factor in (0.5, 0.8, 0.85, 1.0):
        for ohm in (0.05 + 0.01j, 0.02 + 0.02j, 0.2 + 0.01j):
            exact, quick = phasor_drop(240, 40, factor, ohm), 40 * effective_impedance(ohm, factor)
            assert exact <= quick + 1e-12 and exact == pytest.approx(quick, rel=0.03)


def test_resistance_rises_with_heat() -> None:
    """Hand: copper 1.98 ohm/kft at 75 C, 1 + 0.00323 x (90 - 75) = 1.04845 times as much at 90 C."""
    assert resistance_at(1.98, "copper", 90) == pytest.approx(1.98 * 1.04845)
    assert resistance_at(1.98, "copper", 75) == 1.98


def test_a_place_in_the_air_is_refused() -> None:
    net = Network("N")
    net.coupled([("L1", "N")], [[0.1]], [120])
    net.load("X", "Y", 100, 120)
    with pytest.raises(NoSolution):
        net.solved()
    with pytest.raises(NoSolution):
        inverse([[1 + 0j, 2 + 0j], [2 + 0j, 4 + 0j]])
    assert factored([[2 + 0j]]).solve([3 + 0j]) == [1.5]
