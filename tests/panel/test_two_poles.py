"""Breakers of two poles with circuits of 120 V, loads between two of three legs, the neutral of a wye over a range."""

from __future__ import annotations

from cmath import exp, pi, sqrt
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.msg import said
from deadfront.panel.rules.judge import apart_tenths, leg_tenths, worst_apart
from deadfront.panel.rules.neutral import neutral_step
from deadfront.panel.solve.curve import curve, fewest_moves
from deadfront.physics.neutral import neutral_current
from deadfront.quantities import between, point
from deadfront.results.panel import Place
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome
from tests.panel.houses import breaker, house, panel
from tests.panel.made import WYE_THREE, empty_case, piece

TWO, THREE = "208Y/120 1ph 3w", "208Y/120 3ph 4w"
FACTS = 'numbering = "odd left"\nlegs = ["L1", "L2"]'


def multiwire(more_a: str = "", more_b: str = "", share: str = 'shares_neutral_with = "c-two"') -> str:
    """Two circuits of 1920 VA and 120 VA on one breaker of two poles."""
    return (
        breaker("one", "1, 3", 1920, poles=2)
        + f"""{share}
{more_a}
[[before.circuits]]
id = "c-two"
name = "two"
breaker = "b-one"
load_va = 120
{more_b}
"""
    )


def test_both_circuits_of_a_multiwire_breaker_count_on_their_legs() -> None:
    """Hand: 1920 VA and 120 VA at 120 V are 16 A and 1 A on two legs; the neutral carries 15 A, either way round."""
    result = panel(house(multiwire(), panel=FACTS))
    (legs,) = result.balances
    assert [each.value for each in legs.legs] == [between(1, 16), between(1, 16)]
    assert legs.apart.value == legs.neutral.value == point(15)
    assert result.leave is False and result.case is not None
    assert worst_apart(result.case, result.case.found()) == 150
    assert {each.path for each in legs.legs[0].all_missing()} == {"before/c-one.on_pole", "before/c-two.on_pole"}


@pytest.mark.parametrize(
    ("one", "two", "legs"),
    [("upper", "", (16, 1)), ("lower", "", (1, 16)), ("", "upper", (1, 16)), ("upper", "lower", (16, 1)),
     ("upper", "upper", (17, 0))],
)  # fmt: skip
def test_the_pole_that_is_entered_says_the_leg(one: str, two: str, legs: tuple[int, int]) -> None:
    """Hand: as above, each on the leg of its pole; both on one pole add up."""
    entered = [f'on_pole = "{each}"' if each else "" for each in (one, two)]
    result = panel(house(multiwire(*entered), panel=FACTS))
    assert [each.value for each in result.balances[0].legs] == [point(each) for each in legs]
    assert result.case is not None and not result.case.pieces[0].either
    assert leg_tenths(result.case, result.case.found(), 0) == [10 * each for each in legs]


def test_two_circuits_that_nobody_knows_the_volts_of_are_a_range() -> None:
    """Hand: 1920 VA and 120 VA between the legs leave nothing; both of 120 V on one pole differ by 17 A."""
    result = panel(house(multiwire(share=""), panel=FACTS))
    assert result.balances[0].apart.value == between(0, 17)
    assert result.leave is None


def test_a_breaker_that_is_turned_moves_its_legs() -> None:
    """Hand: 16 A and 1 A stand with 15 A beside the larger: 30 A apart; one row down the legs change places: 0 A."""
    case = empty_case(8, pieces=(
        piece("pair", 0, poles=2, now=Place((1, 3)), upper=(160,), lower=(10,)),
        piece("one", 150, now=Place((2,)), fixed=True),
    ))  # fmt: skip
    assert apart_tenths(case, case.found(), 0) == 300
    point_ = fewest_moves(case, 10, 10)
    assert (point_.moves, point_.status, point_.apart_tenths) == (1, "proven", 0)
    assert point_.layout is not None and dict(point_.layout)["pair"].spaces[0] in (3, 4)


def test_an_unknown_side_counts_as_the_worse_of_both() -> None:
    """Hand: with 5 A on the first leg, 16 A and 1 A make 20 A or 10 A."""
    both = piece("pair", 0, poles=2, now=Place((1, 3)), upper=(160,), lower=(10,), either=True)
    case = empty_case(8, pieces=(both, piece("one", 50, now=Place((2,)))))
    assert apart_tenths(case, case.found(), 0) == 200
    text = house(multiwire(), breaker("hal", "2", 600), panel=FACTS)
    assert panel(text).balances[0].apart.value == between(10, 20)


def test_an_untraced_breaker_of_two_poles_leaves_the_legs_open() -> None:
    untraced = '[[before.breakers]]\nid = "b-unk"\npanel = "p-k3m"\nspaces = [5, 7]\npoles = 2\nrating_a = 20\n'
    text = house(breaker("kit", "2", 900), breaker("den", "4", 900), untraced, panel=FACTS)
    result = panel(text.replace(', circuits = "yes"', ""))
    assert result.balances[0].apart.value == between(0, 20)  # hand: two circuits of 120 V, up to 20 A on one pole
    assert result.leave is None
    assert panel(text).leave is True  # a spare, where every circuit is said to be entered


# --- three legs ---
def by_phasors(to_neutral: list[float], between_legs: list[float]) -> list[float]:
    """Independent: the complex sum at each leg; between_legs from each leg to the next one."""
    volts = [exp(-2j * pi * n / 3) for n in range(3)]
    lines = [between_legs[n] * (volts[n] - volts[(n + 1) % 3]) / sqrt(3) for n in range(3)]
    return [abs(to_neutral[n] * volts[n] + lines[n] - lines[n - 1]) for n in range(3)]


amount = st.integers(0, 800)


@settings(max_examples=60)
@given(st.lists(amount, min_size=3, max_size=3), st.lists(amount, min_size=3, max_size=3))
def test_legs_of_three_add_up_by_angles(single: list[int], double: list[int]) -> None:
    """Independent: complex phasors, within the rounding to tenths and of the angle's part to thousandths."""
    pieces = [piece(f"s{n}", single[n], now=Place((2 * n + 1,))) for n in range(3)]
    pieces += [piece(f"d{n}", double[n], poles=2, now=Place((2 * n + 2, 2 * n + 4))) for n in range(3)]
    case = empty_case(10, WYE_THREE, pieces=tuple(pieces))
    found = leg_tenths(case, case.found(), 0)
    assert found == pytest.approx(by_phasors([*map(float, single)], [*map(float, double)]), abs=1)


def loads_on_three() -> str:
    """75 A from L1 to L2 and from L3 to L1, 75 A to neutral on L2 and on L3."""
    big = [breaker(ident, spaces, 15600, poles=2) for ident, spaces in (("aaa", "1, 3"), ("bbb", "5, 7"))]
    single = [breaker(ident, space, 9000) for ident, space in (("ccc", "4"), ("ddd", "6"))]
    text = house(*big, *single, panel='numbering = "odd left"\nlegs = ["L1", "L2", "L3"]')
    return text.replace("120/240 1ph 3w", THREE).replace("rating_a = 20", "rating_a = 100")


def test_loads_between_legs_do_not_add_by_amperes() -> None:
    """Independent: phasors give 129.9, 144.9 and 144.9 A where added amperes give 150 A each."""
    result = panel(loads_on_three())
    wanted = by_phasors([0, 75, 75], [75, 0, 75])
    assert [float(each.value.low) for each in result.balances[0].legs] == pytest.approx(wanted, abs=0.01)
    assert float(result.balances[0].apart.value.low) == pytest.approx(15.0, abs=0.05)
    assert result.leave is False and result.case is not None
    assert abs(worst_apart(result.case, result.case.found()) - 150) <= 1
    for each in curve(result.case, (100, 50), 10):
        assert each.status in ("best found", "not found", "impossible", "proven")
        assert each.layout is None or worst_apart(result.case, dict(each.layout)) <= each.limit_tenths


# --- the neutral of a wye ---
def test_a_neutral_over_a_range_is_no_more_than_its_legs_allow() -> None:
    """Hand: two legs of nothing to 20 A leave at most 20 A, with one of them or with both at 20 A."""
    text = house(breaker("kit", "1"), breaker("den", "3"), panel=FACTS).replace("120/240 1ph 3w", TWO)
    found = panel(text).balances[0].neutral.value
    assert found.low == 0 and found.high is not None and found.high == pytest.approx(Decimal(20), abs=Decimal("1e-9"))


legs_of = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), min_size=2, max_size=3)


@settings(max_examples=60)
@given(legs_of)
def test_the_range_of_a_neutral_is_its_least_and_its_greatest(ends: list[tuple[int, int]]) -> None:
    """Independent: complex phasors over a grid within the ranges; nothing lies outside, and both ends are reached."""
    spans = [(min(each), max(each)) for each in ends]
    system = TWO if len(spans) == 2 else THREE
    legs = [build.fact(f"l{n}", said("panel.leg.l1"), between(*each), "A", "") for n, each in enumerate(spans)]
    value = neutral_step("n", system, legs).value
    grids = [[low + (high - low) * n / 12 for n in range(13)] for low, high in spans]
    tried = [[a] for a in grids[0]]
    for grid in grids[1:]:
        tried = [[*each, a] for each in tried for a in grid]
    found = [neutral_current(system, each) for each in tried]
    step = max((high - low) / 12 for low, high in spans)
    assert value.high is not None
    assert float(value.high) == pytest.approx(max(found), abs=1e-6)
    assert min(found) - step * 1.5 - 1e-6 <= float(value.low) <= min(found) + 1e-6


MOTOR = """
[[before.loads]]
id = "l-mot"
kind = "other"
circuit = "c-mot"
volts = 120
nameplate_a = 30
power_factor = 0.8
"""


def test_the_power_factor_of_a_load_reaches_the_neutral() -> None:
    """Hand (theory sheet, 3): 40 A at unity against 30 A at 0.8 lagging is 24.1 A, not 10 A. Independent: phasors."""
    text = house(breaker("one", "1", 4800), breaker("mot", "3"), panel=FACTS, more=MOTOR)
    (legs,) = panel(text).balances
    assert legs.apart.value == point(10)
    wanted = neutral_current("120/240 1ph 3w", (40, 30), (1, 0.8))
    assert float(legs.neutral.value.low) == pytest.approx(wanted, abs=0.001) == pytest.approx(24.1, abs=0.05)
    assert legs.neutral.all_assumed() == ("panel_unity_power_factor",)
    alike = panel(text.replace("power_factor = 0.8\n", "")).balances[0].neutral
    assert alike.value == point(10) and alike.all_assumed() == ("panel_same_power_factor",)


def test_equal_legs_of_a_wye_say_that_harmonics_add() -> None:
    """A neutral of nothing on equal legs holds for the fundamental alone (published: NEU-09, triplen harmonics add)."""
    text = house(*(breaker(f"r{n}", f"{2 * n + 1}", 1200) for n in range(3)),
                 panel='legs = ["L1", "L2", "L3"]').replace("120/240 1ph 3w", THREE)  # fmt: skip
    (legs,) = panel(text).balances
    assert "panel_same_power_factor_wye" in legs.neutral.all_assumed()
    assert "panel_same_power_factor" not in legs.neutral.all_assumed()
    split = panel(house(breaker("kit", "1", 1200), panel=FACTS)).balances[0].neutral.all_assumed()
    assert "panel_same_power_factor" in split and "panel_same_power_factor_wye" not in split


def test_a_run_of_a_multiwire_breaker_is_worked_at_120_volts() -> None:
    """Hand: 1920 VA from leg to neutral are 16 A in its conductor, not 8 A."""
    from tests.panel.houses import assessed

    runs = {each.of: each for each in assessed(house(multiwire(), panel=FACTS)).circuits.runs}
    assert runs["c-one"].load is not None and runs["c-one"].load.value == point(16)
    checks = [each for each in panel(house(multiwire(), panel=FACTS)).checks if each.id == "panel.balance"]
    assert [each.outcome for each in checks] == [Outcome.FAILS]
