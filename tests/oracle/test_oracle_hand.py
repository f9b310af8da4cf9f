"""The slow engine against figures worked by hand beside each test, one rule at a time. Origin of all: hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from . import pieces, tables
from .engine import calculate
from .houses import load
from .model import items_of, minimum_service_a
from .published_inputs import case_of, near

EDITIONS = tables.EDITIONS


def unit(*loads: dict, area: int = 1000, count: int = 1) -> dict:
    """1,000 ft2, two small-appliance circuits, one laundry circuit: 3,000 + 4,500 VA (2026 2,000 + 4,500)."""
    return {
        "count": count,
        "floor_area_ft2": area,
        "small_appliance_circuits": 2,
        "laundry_circuits": 1,
        "loads": list(loads),
    }


def answers(*loads: dict, edition: str = "2020", **more: object) -> dict:
    """One house of 1,000 ft2 with these loads."""
    return calculate(case_of([unit(*loads)], edition, **more))


HEAT = load("space_heat", 10000, 240, False)
COOLER = load("air_conditioner", 8000, 240, False, motor=True)
RANGE = load("range", 12000, 240, True)
LIGHTS = Fraction(4575)  # 3,000 + 35 % of (7,500 - 3,000)


@pytest.mark.parametrize(
    ("edition", "choices", "expected"),
    [
        ("2014", {}, 10000),  # cooling dropped, no motor left
        ("2017", {}, 10000),
        ("2020", {"noncoincident_motor": "per_alternative"}, 10000),  # 10,000 against 8,000 + 2,000
        ("2020", {"noncoincident_motor": "quarter_of_dropped"}, 12000),  # 10,000 + 25 % of 8,000
        ("2020", {}, 12000),
        ("2023", {}, 12000),
        ("2026", {}, 12000),
    ],
)
def test_heat_larger_than_cooling(edition: str, choices: dict, expected: int) -> None:
    lights = LIGHTS if edition != "2026" else Fraction(4225)  # 3,000 + 35 % of (6,500 - 3,000)
    assert answers(HEAT, COOLER, edition=edition, choices=choices)["standard"]["total_va"] == lights + expected


def test_smaller_cooling_can_govern_through_its_motor() -> None:
    """9,000 VA cooling is 11,250 with its quarter, more than 10,000 of heat."""
    cooler = load("air_conditioner", 9000, 240, False, motor=True)
    answer = answers(HEAT, cooler, choices={"noncoincident_motor": "per_alternative"})["standard"]
    assert (answer["kept"], answer["total_va"]) == ("cooling", LIGHTS + 11250)


@pytest.mark.parametrize(("together", "heat_va"), [(True, 15760), (False, 10000)])
def test_heat_pump_in_part_three(together: bool, heat_va: int) -> None:
    """5,760 VA compressor, 10,000 VA supplement; 2017 drops a compressor that does not run and its motor with it."""
    pump = load("heat_pump", 5760, 240, False, supplemental_va="10000", together=together)
    motor = 1440 if together else 0
    assert answers(pump, edition="2017")["standard"]["total_va"] == LIGHTS + heat_va + motor
    assert answers(pump, edition="2020")["standard"]["total_va"] == LIGHTS + heat_va + 1440


def test_compressor_that_is_the_larger_stays_with_its_motor() -> None:
    """2017: 3,000 heater + the larger of 5,760 and 5,000 is 8,760, kept against 5,760; 25 % of 5,760."""
    pump = load("heat_pump", 5760, 240, False, supplemental_va="5000", together=False)
    heater = load("space_heat", 3000, 240, False)
    assert answers(pump, heater, edition="2017")["standard"]["total_va"] == LIGHTS + 8760 + 1440


@pytest.mark.parametrize(("edition", "expected"), [("2014", 1800), ("2017", 1800), ("2020", 2400), ("2023", 2400)])
def test_small_appliance_does_not_make_the_fourth(edition: str, expected: int) -> None:
    """3 x 700 + 300 = 2,400 VA: four appliances until 2017 (75 %), three from 2020."""
    appliances = [load("appliance", 700, 120, True, quantity=3), load("microwave", 300, 120, True)]
    assert answers(*appliances, edition=edition)["standard"]["parts"]["appliances_va"] == expected


def test_small_appliance_stays_at_full_beside_four_that_count() -> None:
    """2020: 3 x 700 + 500 count and take 75 %, 1,950; 300 is too small and stands beside it."""
    loads = [
        load("appliance", 700, 120, True, quantity=3),
        load("dishwasher", 500, 120, True),
        load("microwave", 300, 120, True),
    ]
    assert answers(*loads)["standard"]["parts"]["appliances_va"] == 2250


def test_quarter_horsepower_counts_below_500_va() -> None:
    """A 1/4 hp motor of 400 VA is the fourth: 75 % of 2,500; a 1/6 hp one of 400 VA is not."""
    three = load("appliance", 700, 120, True, quantity=3)
    counts = answers(three, load("disposal", 400, 120, True, hp="1/4"))["standard"]
    small = answers(three, load("disposal", 400, 120, True, hp="1/6"))["standard"]
    assert counts["parts"]["appliances_va"] == 1875
    assert small["parts"]["appliances_va"] == 2500


@pytest.mark.parametrize(
    ("ratings", "expected"),
    [
        ([1750], 1750),  # not over 1,750: nameplate
        ([1751], Fraction(14008, 10)),  # column A, 80 %
        ([3499, 3499], Fraction(52485, 10)),  # column A, 75 % of 6,998
        ([3500, 3500], 4550),  # column B, 65 %
        ([8750], 7000),  # column B, 80 %
        ([8751], 8000),  # column C
        ([12000], 8000),
        ([12499], 8000),  # 0.499 kW over: no step
        ([12500], 8400),  # 0.5 kW over: one step
        ([27000], 14000),  # 15 steps: 75 % more
        ([27001], 27001),  # over the table
        ([3000, 6000], 7200),  # 80 % of each, less than 11,000 in column C and than 9,000
        ([2000, 14000], 10400),  # 1,600 + 8,800
        ([8750, 14000], 15800),  # 8,750 is column B: 7,000 + 8,800; not 11,550 without the choice
        ([9000, 16000], 12100),  # both in C: 11,000, average of 12 and 16 is 14: 10 % more
    ],
)
def test_cooking(ratings: list[int], expected: Fraction) -> None:
    items = items_of([load("oven", rating, 240, True) for rating in ratings])
    assert pieces.cooking_demand_va(items, "120/240") == expected


def test_cooking_choice_of_note_2_for_small_units() -> None:
    """2 and 14 kW in column C together: 11,000, average of 12 and 14 is 13: 11,550; by columns 10,400 is less."""
    items = items_of([load("oven", 2000, 240, True), load("range", 14000, 240, True)])
    assert pieces.cooking_demand_va(items, "120/240", True) == 10400
    # 6 and 14 kW: by columns 4,800 + 8,800 = 13,600; together 11,550
    items = items_of([load("oven", 6000, 240, True), load("range", 14000, 240, True)])
    assert pieces.cooking_demand_va(items, "120/240", False) == 13600
    assert pieces.cooking_demand_va(items, "120/240", True) == 11550


@pytest.mark.parametrize(
    ("number", "va", "system", "expected"),
    [
        (1, 4000, "120/240", 5000),
        (4, 5500, "120/240", 22000),
        (5, 5000, "120/240", 21250),
        (12, 5000, "120/240", 27600),
        (23, 5000, "120/240", 40250),
        (24, 5000, "120/240", 41400),
        (42, 5000, "120/240", 53550),
        (43, 5000, "120/240", 53750),
        (10, 5000, "208Y/120 3ph", 36000),  # 4 on a pair, 8 counted: 24,000 at 60 %; half of it, three times
    ],
)
def test_dryers(number: int, va: int, system: str, expected: int) -> None:
    assert pieces.dryer_demand_va(items_of([load("dryer", va, 240, True, quantity=number)]), system) == expected


def test_mixed_ranges_on_three_phases_are_refused() -> None:
    units = [unit(RANGE, count=2), unit(load("range", 14000, 208, True))]
    assert "mixed" in calculate(case_of(units, "2020", "208Y/120 3ph"))["standard"]["refused"]


@pytest.mark.parametrize(
    ("edition", "optional_va", "standard_va"),
    [
        ("2020", 13000, LIGHTS + 5000),  # 7,500 + 5,000 + 5,000: 10,000 + 40 % of 7,500 = 13,000
        ("2023", 13880, LIGHTS + 7200 + 0),  # 19,700: 10,000 + 40 % of 9,700
        ("2026", 14400, Fraction(4225) + 5000),  # 6,500 + 5,000: 8,000 + 40 % of 3,500 = 9,400; 5,000 beside it
    ],
)
def test_evse(edition: str, optional_va: int, standard_va: Fraction) -> None:
    charger, lamp = load("evse", 5000, 240, False), load("other", 5000, 240, False)
    answer = answers(charger, lamp, edition=edition)
    assert answer["optional_one"]["total_va"] == optional_va
    assert answer["standard"]["total_va"] == standard_va + 5000
    if edition == "2023":  # the nameplate reading is the 2020 figure
        named = answers(charger, lamp, edition=edition, choices={"evse_optional": "pool_nameplate"})
        assert named["optional_one"]["total_va"] == 13000


@pytest.mark.parametrize(
    ("loads", "expected"),
    [
        ([load("space_heat", 9000, 240, False, separate_units=3)], 5850),  # 65 %
        ([load("space_heat", 9000, 240, False, separate_units=4)], 3600),  # 40 %
        (
            [load("space_heat", 3000, 240, False, quantity=2), load("space_heat", 3000, 240, False, separate_units=2)],
            3600,
        ),
        ([load("space_heat", 9000, 240, False, continuous_rated=True)], 9000),
        ([load("space_heat", 9000, 240, False), load("air_conditioner", 5851, 240, False)], 5851),
        ([load("heat_pump", 5000, 240, False)], 5000),
        ([load("heat_pump", 5000, 240, False, supplemental_va=10000, together=True)], 11500),
        ([load("heat_pump", 5000, 240, False, supplemental_va=10000)], 6500),
        ([load("heat_pump", 5000, 240, False), load("air_handler", 800, 120, True)], 5800),
    ],
)
def test_optional_heat_and_cooling(loads: list[dict], expected: int) -> None:
    assert answers(*loads)["optional_one"]["total_va"] == 7500 + expected


def test_optional_refusals() -> None:
    assert "3-wire" in answers(system="208Y/120 3ph")["optional_one"]["refused"]
    assert "100 A" in answers(service_ampacity_a=99)["optional_one"]["refused"]
    assert "total_va" in answers(service_ampacity_a=100)["optional_one"]
    assert "one dwelling unit" in calculate(case_of([unit(count=2)], "2020"))["optional_one"]["refused"]


@pytest.mark.parametrize(
    ("choices", "expected"),
    [
        ({"existing_hvac": "larger_at_100"}, 22600),  # 19,500: 8,000 + 4,600; 10,000 beside it
        ({"existing_hvac": "both_in_pool"}, 19800),  # 37,500: 8,000 + 40 % of 29,500
        ({"existing_hvac": "left_out"}, 12600),
        ({}, 22600),
    ],
)
def test_existing_house(choices: dict, expected: int) -> None:
    answer = answers(RANGE, HEAT, COOLER, existing=True, choices=choices)["existing"]
    assert (answer["form"], answer["total_va"]) == ("A", expected)


def test_existing_house_refusals_and_new_heat() -> None:
    new_heat = {**HEAT, "new": True}
    answer = answers(RANGE, new_heat, COOLER, existing=True, choices={"existing_hvac": "left_out"})["existing"]
    assert (answer["form"], answer["total_va"]) == ("B", 22600)
    assert "120.83" in answers(existing=True, edition="2026")["existing"]["refused"]
    assert "exist" in answers()["existing"]["refused"]


def test_multifamily_with_house_loads() -> None:
    """Each unit 3,000 + 4,500 + 12,000 + 10,000 = 29,500; three at 45 % = 39,825; house 2,400 at 75 % + 25 % of 600."""
    house = [load("pump", 600, 120, True, motor=True, quantity=4)]
    answer = calculate(case_of([unit(RANGE, HEAT, COOLER, count=3)], "2020", house_loads=house))["multifamily"]
    assert answer["total_va"] == 39825 + 1800 + 150


def test_multifamily_refusals() -> None:
    assert "three" in calculate(case_of([unit(RANGE, HEAT, count=2)], "2020"))["multifamily"]["refused"]
    assert "cooking" in calculate(case_of([unit(HEAT, count=3)], "2020"))["multifamily"]["refused"]
    assert "heat" in calculate(case_of([unit(RANGE, HEAT, count=3), unit(RANGE)], "2020"))["multifamily"]["refused"]


def test_two_unequal_units_count_as_three_of_the_larger() -> None:
    """Larger unit 29,500 VA; 3 x 29,500 x 45 % = 39,825. Part III: 15,000 VA lighting gives 7,200; ranges 11,000;
    heat 10,000; 25 % of 8,000: 30,200 VA, which is less."""
    units = [unit(RANGE, HEAT, COOLER), unit(RANGE, COOLER)]
    answer = calculate(case_of(units, "2020"))["two_family"]
    assert answer["three_units_va"] == 39825
    # cooling of both, 16,000, is more than 10,000 of heat: 7,200 + 11,000 + 16,000 + 2,000
    assert answer["standard_va"] == answer["total_va"] == 36200
    without = calculate(case_of([unit(RANGE, HEAT), unit(HEAT)], "2020"))["two_family"]
    assert (without["governs"], without["three_units_va"]) == ("standard", None)


def test_neutral() -> None:
    """4,575 + 70 % of (8,000 + 5,000) + 75 % of 3 x 1,000 + 1,200 cooler + 25 % of 1,200; 240 V loads add nothing."""
    loads = [
        RANGE,
        HEAT,
        load("dryer", 4500, 240, True),
        load("dishwasher", 1000, 120, True, quantity=3),
        load("water_heater", 4500, 240, False),
        load("air_conditioner", 1200, 120, True, motor=True),
    ]
    for system, expected in (("120/240", 17425), ("208Y/120 1ph", 21325)):
        assert answers(*loads, system=system)["standard"]["neutral_va"] == Fraction(expected)


def test_neutral_above_200_a() -> None:
    """60,000 VA on 120 V with 4,575 VA lighting: 64,575 / 240 = 269.0625 A, 200 + 70 % of 69.0625 = 248.34375 A."""
    answer = answers(load("other", 60000, 120, True))["standard"]
    assert answer["neutral_a"] == Fraction("248.34375")
    on_wye = answers(load("other", 60000, 120, True), system="208Y/120 1ph")["standard"]
    assert on_wye["neutral_a"] == Fraction("269.0625")
    three_phase = answers(load("other", 60000, 120, True), system="208Y/120 3ph")["standard"]
    assert near(three_phase["amperes"], "179.2423", "0.0001")  # 64,575 / 360.26657


@pytest.mark.parametrize(
    ("amperes", "units", "expected"),
    [
        ("77.5", 1, 100),
        ("77.5", 2, 80),
        ("80.49", 2, 80),
        ("80.5", 2, 90),
        ("100.4", 1, 100),
        ("100.5", 1, 110),
        ("601", 2, 700),
        ("6000.5", 2, None),
    ],
)
def test_minimum_service(amperes: str, units: int, expected: int | None) -> None:
    case = case_of([unit(count=units)], "2020")
    assert minimum_service_a(Fraction(amperes), case) == expected
