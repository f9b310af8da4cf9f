"""Batteries and generators: limits by algebra, balance of energy, one way undone by the other."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from deadfront.physics import generator, storage

shares = st.floats(0.05, 1.0)


# --- storage ---------------------------------------------------------------------------------------------------------
def test_a_load_of_nothing_lasts_by_what_the_inverter_draws() -> None:
    """Hand: 10 kWh, 0.1 kW idle: 100 h; nothing that draws is an error, not forever."""
    assert storage.runtime_h(10, 1, 0, idle_kw=0.1) == pytest.approx(100)
    with pytest.raises(ValueError):
        storage.runtime_h(10, 1, 0)


@pytest.mark.parametrize("efficiency", [0.0, -0.5, 1.01])
def test_an_efficiency_that_cannot_be(efficiency: float) -> None:
    with pytest.raises(ValueError):
        storage.runtime_h(10, 1, 1, efficiency=efficiency)
    with pytest.raises(ValueError):
        storage.shift_saving(10, 0.4, 0.1, efficiency)
    with pytest.raises(ValueError):
        storage.battery_energy_wh(1000, 1, efficiency)


@given(st.floats(1, 50), shares, st.floats(0.1, 5), shares)
def test_steady_load_in_steps_ends_where_the_formula_says(
    energy: float, usable: float, load: float, eta: float
) -> None:
    """Independent: the steps of interval data against the closed form, within one step."""
    hours, step = storage.runtime_h(energy, usable, load, efficiency=eta), 0.01
    count = min(int(hours / step) + 2, 5000)
    done = storage.state_of_charge(energy, energy, energy * (1 - usable), [load] * count, [0] * count, step,
                                   efficiency=eta)  # fmt: skip
    if count < 5000:
        assert abs(len(done) * step - hours) <= step * 1.01
    assert all(a >= b for a, b in zip(done, done[1:], strict=False))


def test_sun_fills_up_and_no_further() -> None:
    """Hand: 5 kWh, 2 kW left of the sun at 90 %, 1 h a step: 6.8, 8.6, then full at 10; 1.5 kW at most: 6.5."""
    done = storage.state_of_charge(5, 10, 1, [1, 1, 1], [3, 3, 3], 1, charge_efficiency=0.9)
    assert done == pytest.approx([6.8, 8.6, 10])
    assert storage.state_of_charge(5, 10, 1, [1], [3], 1, charge_kw=1.5) == pytest.approx([6.5])


def test_it_ends_at_the_reserve() -> None:
    """Hand: 3 kWh, 1 kW at 50 %: 2 kWh an hour; the second step reaches the reserve of 1 kWh."""
    assert storage.state_of_charge(4, 10, 1, [1, 1, 1], [0, 0, 0], 1, efficiency=0.5) == pytest.approx([2, 1])


def test_lead_acid_at_its_rated_current_lasts_its_rated_time() -> None:
    assert storage.lead_acid_runtime_h(100, 20, 5, 1.25) == pytest.approx(20)


@given(st.floats(0.05, 1), st.floats(0.01, 1), shares)
def test_shifting_saves_just_above_the_break_even(peak: float, low: float, eta: float) -> None:
    saving = storage.shift_saving(1, peak, low, eta)
    assert (saving > 1e-9) <= (eta > storage.break_even_round_trip(peak, low) - 1e-9)


# --- generators ------------------------------------------------------------------------------------------------------
@given(st.floats(1, 100), st.floats(5, 100), st.floats(0.05, 0.5))
def test_largest_start_undoes_the_dip(start: float, rated: float, reactance: float) -> None:
    dip = generator.voltage_dip(start, rated, reactance)
    assert 0 < dip < 1
    assert generator.largest_start_kva(dip, rated, reactance) == pytest.approx(start)


@given(st.floats(1, 60), st.floats(20, 100), st.floats(0.05, 0.5), st.floats(0, 1), st.floats(0, 1))
def test_a_power_factor_never_deepens_the_dip(start: float, rated: float, x: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    deep = generator.voltage_dip(start, rated, x, start_power_factor=low)
    assert generator.voltage_dip(start, rated, x, start_power_factor=high) <= deep + 1e-12


def test_nothing_starts_nothing_drops() -> None:
    assert generator.voltage_dip(0, 22, 0.25, preload=0.5 - 0.2j) == pytest.approx(0)


def test_a_reactive_load_before_leaves_less_to_lose() -> None:
    """Hand: X 0.25, start s = 1, load before of 1: 1 / 1.25 before, 1 / 1.5 after: 1 - 1.25 / 1.5 = 16.7 %, not 20."""
    assert generator.voltage_dip(22, 22, 0.25, preload=-1j) == pytest.approx(1 - 1.25 / 1.5)
    assert generator.voltage_dip(22, 22, 0.25) == pytest.approx(0.2)


def test_the_dip_read_from_a_chart() -> None:
    """Published chart, by the theory table: 550 kVA on 312 kVA, 29.5 %: X'd is 0.237."""
    assert generator.voltage_dip(550, 312, 0.237) == pytest.approx(0.295, abs=0.001)


def test_the_order_of_starting_counts() -> None:
    """Hand: pump of 2000 running, 6000 starting, after 1000: 7000; before it: 6000."""
    assert generator.needed_va([1000, 2000], [1000, 6000]) == 7000
    assert generator.needed_va([2000, 1000], [6000, 1000]) == 6000
    assert generator.needed_va([], []) == 0


def test_high_and_hot() -> None:
    """Hand: 10 kW at 5000 ft is 17.5 % less, at 97 F 2 % less: 10 x 0.825 x 0.98 = 8.085 kW; at sea level all of it."""
    assert generator.derated_w(10000, 5000, 97) == pytest.approx(8085)
    assert generator.derated_w(10000, 0, 60) == 10000


def test_start_by_code_letter() -> None:
    """Hand: 5 hp of 5.59 kVA a horsepower (letter G) start with 27.95 kVA."""
    assert generator.starting_kva_by_letter(5, 5.59) == pytest.approx(27.95)
