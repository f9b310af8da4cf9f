"""Laws of buses: against a second reckoning in plain numbers; more output never helps, a lower setting never hurts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.codebook import EDITIONS
from deadfront.results.sources import BusAnswer, Way
from deadfront.worksheet.check import Outcome
from tests.sources.made import SYSTEM, answer, bus_of, option, panel, value

BUSES, MAINS = st.sampled_from([100, 125, 150, 200, 225]), st.sampled_from([60, 100, 125, 150, 200])
OUTPUTS, SPACES = st.integers(1, 90), st.sampled_from([[18, 20], [17, 19], [14, 16], [1, 3]])
STANDARD = [15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400]
RANK = {Outcome.MEETS: 2, Outcome.CANNOT_TELL: 1, Outcome.FAILS: 0, Outcome.NOT_APPLICABLE: -1}
BIG = [{"id": "b-09", "panel": "p-aa", "spaces": [9, 11], "poles": 2, "rating_a": 250}]
"""A breaker that keeps the sum of breakers out of the way."""


def bus(size: int, main: int, output: int, spaces: list[int], edition: str = "2023", **source: object) -> BusAnswer:
    house = panel(size, main, output, spaces=spaces, breakers=BIG, source=source)
    house["energy_management"] = [SYSTEM]
    return bus_of(answer(house, edition))


@settings(max_examples=40, deadline=None)
@given(BUSES, MAINS, OUTPUTS, SPACES, st.sampled_from(EDITIONS))
def test_agrees_with_plain_arithmetic(size: int, main: int, output: int, spaces: list[int], edition: str) -> None:
    """Independent: fractions, the far end named by its spaces."""
    all_in = main + Fraction(5, 4) * output
    far = spaces in ([18, 20], [17, 19])
    found = bus(size, main, output, spaces, edition)
    assert option(found, "sum").outcome is (Outcome.MEETS if all_in <= size else Outcome.FAILS)
    fits = far and all_in <= Fraction(6, 5) * size
    assert option(found, "opposite_end").outcome is (Outcome.MEETS if fits else Outcome.FAILS)
    assert found.outcome is (Outcome.MEETS if fits or all_in <= size else Outcome.FAILS)


@settings(max_examples=25, deadline=None)
@given(BUSES, MAINS, OUTPUTS, SPACES, st.integers(0, 40))
def test_more_output_never_makes_a_bus_pass(size: int, main: int, output: int, spaces: list[int], more: int) -> None:
    less, greater = bus(size, main, output, spaces), bus(size, main, output + more, spaces)
    for each in less.options:
        assert RANK[option(greater, each.key).outcome] <= RANK[each.outcome], each.key


@settings(max_examples=25, deadline=None)
@given(BUSES, MAINS, OUTPUTS, st.integers(1, 90), st.integers(0, 89))
def test_a_lower_setting_never_makes_a_bus_fail(size: int, main: int, output: int, limit: int, lower: int) -> None:
    high = bus(size, main, output, [18, 20], control_limit_a=limit, managed_by="e-01")
    low = bus(size, main, output, [18, 20], control_limit_a=max(limit - lower, 1), managed_by="e-01")
    for each in high.options:
        assert RANK[option(low, each.key, each.controlled).outcome] >= RANK[each.outcome], each.key
    assert RANK[low.outcome] >= RANK[high.outcome]


def way(found: BusAnswer, key: str, kind: str) -> Way | None:
    return next((each for each in option(found, key).ways if each.key == kind), None)


@pytest.mark.parametrize("key", ["sum", "opposite_end"])
def test_every_way_leads_there_and_the_next_step_does_not(key: str) -> None:
    """Each figure is put into the house: the option then meets; one step beyond it does not."""
    tried = dict.fromkeys(("main", "setting", "output", "bus"), 0)
    for size, main, output in ((100, 100, 24), (125, 125, 40), (200, 200, 48), (200, 150, 80), (225, 200, 70)):
        found = bus(size, main, output, [18, 20])
        if option(found, key).outcome is Outcome.MEETS:
            continue
        if (step := way(found, key, "main")) is not None:
            most = int(value(step.step))
            assert option(bus(size, most, output, [18, 20]), key).outcome is Outcome.MEETS
            larger = STANDARD[STANDARD.index(most) + 1]
            assert option(bus(size, larger, output, [18, 20]), key).outcome is Outcome.FAILS
            tried["main"] += 1
        if (step := way(found, key, "setting")) is not None:
            most = int(value(step.step))
            for limit, outcome in ((most, Outcome.MEETS), (most + 1, Outcome.FAILS)):
                set_ = bus(size, main, output, [18, 20], control_limit_a=limit, managed_by="e-01")
                assert option(set_, key, controlled=True).outcome is outcome
            tried["setting"] += 1
        if (step := way(found, key, "output")) is not None:
            most = int(value(step.step))
            assert option(bus(size, main, most, [18, 20]), key).outcome is Outcome.MEETS
            assert option(bus(size, main, most + 1, [18, 20]), key).outcome is Outcome.FAILS
            tried["output"] += 1
        if (step := way(found, key, "bus")) is not None:
            least = -(-value(step.step) // 1)
            assert option(bus(int(least), main, output, [18, 20]), key).outcome is Outcome.MEETS
            assert option(bus(int(least) - 1, main, output, [18, 20]), key).outcome is Outcome.FAILS
            tried["bus"] += 1
    assert all(count > 0 for count in tried.values()), tried
