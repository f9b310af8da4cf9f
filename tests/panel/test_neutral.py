"""Neutral current as Steps, against printed cases, phasors, and the limits of range."""

from __future__ import annotations

import json
from decimal import Decimal
from math import sqrt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from deadfront.msg import said
from deadfront.panel.rules.neutral import neutral_step
from deadfront.physics.neutral import neutral_current
from deadfront.quantities import between
from deadfront.worksheet import build
from deadfront.worksheet.step import Step
from tests.panel.houses import breaker, house, panel

CASES = {
    each["id"]: each
    for each in json.loads(
        (Path(__file__).parents[1] / "published" / "circuits_and_sources.json").read_text(encoding="utf-8")
    )
}
SPLIT, TWO, THREE = "120/240 1ph 3w", "208Y/120 1ph 3w", "208Y/120 3ph 4w"


def legs(*amperes: object) -> tuple[Step, ...]:
    """Legs that carry so much."""
    return tuple(
        build.fact(f"leg{n}", said("panel.leg.l1"), each if not isinstance(each, int | float) else Decimal(str(each)),
                   "A", "") for n, each in enumerate(amperes)
    )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "system", "inputs", "within"),
    [
        ("NEU-01", SPLIT, ("I_L1_A", "I_L2_A"), "0"),
        ("NEU-05", THREE, ("IA_A", "IB_A", "IC_A"), "0.001"),
        ("NEU-06", TWO, ("IA_A", "IB_A"), "0.0000001"),
    ],
)
def test_printed_cases(name: str, system: str, inputs: tuple[str, ...], within: str) -> None:
    """Published: difference of two legs; unbalanced wye; two legs of a wye. Harmonics and the lost neutral (NEU-09,
    NEU-10) are no matter of a layout: tests/published/test_faults.py."""
    case = CASES[name]
    found = neutral_step("n", system, legs(*(case["inputs"][each] for each in inputs))).value
    assert found.exact
    assert abs(found.low - Decimal(str(case["recomputed"]["I_N_A"]))) <= Decimal(within) * found.low


amount = st.floats(0, 200, allow_nan=False).map(lambda value: round(value, 1))


@given(a=amount, b=amount, c=amount)
def test_steps_agree_with_phasors(a: float, b: float, c: float) -> None:
    """Independent: the complex sum of physics/neutral.py; a third way is the printed root."""
    for system, currents in ((SPLIT, (a, b)), (TWO, (a, b)), (THREE, (a, b, c))):
        ours = float(neutral_step("n", system, legs(*currents)).value.low)
        assert ours == pytest.approx(neutral_current(system, currents), abs=1e-6)
    root = sqrt(max(0.0, a * a + b * b + c * c - a * b - b * c - c * a))  # floats may fall below nothing
    assert float(neutral_step("n", THREE, legs(a, b, c)).value.low) == pytest.approx(root, abs=1e-4)


def test_power_factors_that_differ_leave_more_than_the_difference() -> None:
    """Hand (theory sheet, 3): 40 A at unity against 30 A at 0.8 lagging is 24.1 A, not 10 A."""
    assert neutral_current(SPLIT, (40, 30), (1, 0.8)) == pytest.approx(24.1, abs=0.05)
    assert "panel_same_power_factor" in neutral_step("n", SPLIT, legs(40, 30)).all_assumed()


def test_equal_legs_of_a_wye_are_best_and_never_nothing() -> None:
    """Hand: for 100 A in all, 50 and 50 leave 50 A; 60 and 40 leave sqrt(3600 + 1600 - 2400) = 52.9 A."""
    assert float(neutral_step("n", TWO, legs(50, 50)).value.low) == pytest.approx(50)
    assert float(neutral_step("n", TWO, legs(60, 40)).value.low) == pytest.approx(52.915, abs=0.001)


@given(low=amount, more=amount, other=amount, share=st.floats(0, 1))
def test_a_range_holds_every_value_in_it(low: float, more: float, other: float, share: float) -> None:
    for system in (SPLIT, TWO):
        wide = neutral_step("n", system, legs(between(str(low), str(low + more)), other)).value
        one = neutral_current(system, (low + share * more, other))
        assert float(wide.low) - 1e-6 <= one
        assert wide.high is not None and one <= float(wide.high) + 1e-6


# --- every printed case, and what it must not be --------------------------------------------------------------------
OF_A_LAYOUT = {"NEU-01": SPLIT, "NEU-05": THREE, "NEU-06": TWO}
OF_PHYSICS = {"NEU-09", "NEU-10"}


def test_every_printed_case_of_a_neutral_is_held_somewhere() -> None:
    """A case that is added, or told to be misprinted, must be taken up here or in tests/published/test_faults.py."""
    there = {ident for ident in CASES if ident.startswith("NEU-")}
    assert there == {*OF_A_LAYOUT, *OF_PHYSICS}
    assert [ident for ident in sorted(there) if CASES[ident]["published_error"]] == []


@pytest.mark.parametrize(
    ("name", "currents", "wrong", "reading"),
    [
        ("NEU-01", (10, 7), 17, "legs added, as if both stood on one leg"),
        ("NEU-01", (10, 7), sqrt(149), "the length of a right angle"),
        ("NEU-01", (10, 7), sqrt(79), "a wye taken for split phase"),
        ("NEU-05", (10, 15, 20), 45, "legs added"),
        ("NEU-05", (10, 15, 20), 10, "largest less smallest"),
        ("NEU-05", (10, 15, 20), 15, "largest less the mean of the others, times two"),
        ("NEU-06", (100, 100), 0, "split phase taken for two legs of a wye: nothing"),
        ("NEU-06", (100, 100), 200, "legs added"),
        ("NEU-06", (100, 100), 100 * sqrt(3), "angle of the voltage between them"),
    ],
)
def test_a_misread_formula_is_not_ours(name: str, currents: tuple[int, ...], wrong: float, reading: str) -> None:
    """Negative: what usual misreadings print (hand) lies far from ours; ours is what is printed."""
    ours = float(neutral_step("n", OF_A_LAYOUT[name], legs(*currents)).value.low)
    assert abs(ours - wrong) > 0.1 * max(ours, wrong), reading
    assert ours == pytest.approx(CASES[name]["result"]["I_N_A"], rel=1e-3)


@pytest.mark.parametrize(
    ("name", "system", "facts", "loads_va"),
    [
        ("NEU-01", SPLIT, "", (1200, 840)),
        ("NEU-05", THREE, "", (1200, 1800, 2400)),
        ("NEU-06", THREE, 'legs = ["L1", "L2"]', (12000, 12000)),
    ],
)
def test_printed_cases_through_a_whole_panel(name: str, system: str, facts: str, loads_va: tuple[int, ...]) -> None:
    """Published: the same cases as loads at 120 V in rows that follow each other, from the job file to the neutral."""
    breakers = [breaker(f"r{n}", f"{2 * n + 1}", va) for n, va in enumerate(loads_va)]
    text = house(*breakers, panel=facts).replace('"120/240 1ph 3w"', f'"{system}"')
    (balance,) = panel(text).balances
    assert float(balance.neutral.value.low) == pytest.approx(CASES[name]["recomputed"]["I_N_A"], rel=1e-5)
    assert balance.neutral.value.exact


def test_a_load_between_two_legs_leaves_nothing_in_the_neutral_of_three() -> None:
    """Hand: 208 V loads do not return by the neutral: NEU-05 with a range between two legs stays 8.66 A."""
    breakers = [breaker(f"r{n}", f"{2 * n + 1}", va) for n, va in enumerate((1200, 1800, 2400))]
    text = house(*breakers, breaker("rng", "2, 4", 9600, poles=2)).replace('"120/240 1ph 3w"', f'"{THREE}"')
    (balance,) = panel(text).balances
    assert float(balance.neutral.value.low) == pytest.approx(CASES["NEU-05"]["recomputed"]["I_N_A"], rel=1e-5)
