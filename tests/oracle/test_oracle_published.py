"""The slow engine against the published worked examples in tests/published/dwelling_loads.json.

Inputs come from the file. Expected figures come from its printed `result`; where the print is wrong or absent, from
its `recomputed` figures, and the test says so. The id of each test case ends in the publisher named by the file.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from . import pieces, several, standard
from .engine import calculate, one_method
from .model import item_of, items_of
from .published_inputs import all_loads, case_of, duplex, exact, load, near, one_house, unit_of

FILE = Path(__file__).parent.parent / "published" / "dwelling_loads.json"
CASES = {case["id"]: case for case in json.loads(FILE.read_text(encoding="utf-8"))}
BEFORE_2026 = ("2014", "2017", "2020", "2023")

# What this engine has no words for, and why. Anything not here must be run below (checked by the last test).
NOT_EXPRESSIBLE = {
    "nfpa-d1b": "amperes per line, this engine adds VA",
    "nfpa-d7": "a conductor size, not a load",
    "nfpa-d15-2026": "a power control system, and its loads are not printed",
    "farm-barn-185-inputs": "a farm building, not a dwelling",
}
SHOWN: set[str] = set()


def shows(*ids: str) -> Callable[[Callable], Callable]:
    """Marks the cases one test runs."""
    SHOWN.update(ids)
    return lambda test: test


def by_id(*ids: str) -> list:
    """One parameter a case, the publisher in the name of the test."""
    SHOWN.update(ids)
    return [
        pytest.param(name, id=f"{name} [{CASES[name]['source']['publisher'].split('(')[0].strip()}]") for name in ids
    ]


# ---------- whole houses, Part III


@pytest.mark.parametrize("edition", BEFORE_2026)
@pytest.mark.parametrize(
    "case_id", by_id("nfpa-d1a", "nfpa-d4a-unit", "etalk-2000-std", "centerville-1500", "centerville-1000-ERR")
)
def test_house_by_part_three(case_id: str, edition: str) -> None:
    case = CASES[case_id]
    answer = calculate(one_house(case, edition))["standard"]
    wrong_print = case["test_use"] == "corrected_value"
    expected = case["recomputed"] if wrong_print else case["result"]
    assert answer["total_va"] == exact(expected["total_va"])
    if "neutral_va" in case["result"]:
        assert answer["neutral_va"] == exact(case["result"]["neutral_va"])
    if case["inputs"]["divisor_V"] == 240:
        assert near(answer["amperes"], case["result"]["amperes"])
    if case_id == "nfpa-d1a":
        assert near(answer["neutral_a"], case["recomputed"]["neutral_A"])
    if "min_service_A" in case["result"]:
        assert answer["minimum_service_a"] == case["result"]["min_service_A"]


def test_d4a_unit_without_its_range() -> None:
    """NFPA 70 Annex D, D4(a): the same unit without a range, printed 3,882 VA and 16.2 A."""
    case = CASES["nfpa-d4a-unit"]
    answer = calculate(case_of([unit_of(case["inputs"], 1, [])], "2014"))["standard"]
    assert answer["total_va"] == case["result"]["total_va_without_range"]
    assert near(answer["amperes"], case["result"]["amperes_without_range"])


@pytest.mark.parametrize("edition", BEFORE_2026)
@pytest.mark.parametrize("case_id", by_id("nfpa-d4a-bank", "nfpa-d4a-main", "nfpa-d5a-bank", "nfpa-d5a-main"))
def test_building_where_half_the_units_have_ranges(case_id: str, edition: str) -> None:
    case = CASES[case_id]
    inputs, printed = case["inputs"], case["result"]
    three_phase = inputs["system"] == "208Y/120 V"
    with_range = inputs["cooking"][0]["qty"]
    a_range = load("range", {"kw": 12}, 208 if three_phase else 240, True)
    units = [unit_of(inputs, with_range, [a_range]), unit_of(inputs, inputs["dwelling_units"] - with_range, [])]
    answer = calculate(case_of(units, edition, "208Y/120 3ph" if three_phase else "120/240"))["standard"]
    assert answer["total_va"] == printed["total_va"]
    assert answer["neutral_va"] == printed["neutral_va"]
    assert near(answer["amperes"], case["recomputed"]["amperes"], "0.02")  # the file takes 1.732
    assert near(answer["amperes"], printed["amperes"], "0.5")  # whole amperes printed, 208.44 as 208, 433.96 as 434
    assert near(answer["neutral_a"], case["recomputed"]["neutral_A"], "0.02")
    if "neutral_A_before_200A_reduction" in case["recomputed"]:
        assert near(answer["neutral_before_reduction_a"], case["recomputed"]["neutral_A_before_200A_reduction"], "0.02")


@shows("nfpa-d5a-unit")
def test_unit_on_two_legs_of_a_wye() -> None:
    """NFPA 70 Annex D, D5(a): 54.7 A printed (16.2 + 38.5). Its neutral takes 70 %, which 220.61(C)(1) forbids."""
    case = CASES["nfpa-d5a-unit"]
    loads = [load("range", {"kw": 12}, 208, True)]
    answer = calculate(case_of([unit_of(case["inputs"], 1, loads)], "2023", "208Y/120 1ph"))["standard"]
    assert near(answer["amperes"], case["result"]["amperes"], "0.1")
    assert near(answer["amperes"], case["recomputed"]["amperes"], "0.01")
    # hand: 3,882/240 + 8,000/208, no reduction; the print is 3,882/240 + 0.7 x 8,000/208 = 43.1 A
    assert answer["neutral_a"] == Fraction(3882, 240) + Fraction(8000, 208)
    assert answer["neutral_a"] > exact(case["result"]["neutral_A"])


@shows("transtutors-3800")
def test_student_house_with_two_appliances_on_motors() -> None:
    """Transtutors: no total printed; recomputed with the compressor as the largest motor."""
    case = CASES["transtutors-3800"]
    answer = calculate(one_house(case, "2017"))["standard"]
    assert answer["parts"]["lighting_va"] == exact(case["result"]["lighting_va"])
    assert answer["parts"]["appliances_va"] == exact(case["result"]["appliances_va"])
    assert answer["total_va"] == exact(case["recomputed"]["total_va_with_motor_adder"])


@shows("ev-training-3000-inputs")
def test_house_with_evse_2023() -> None:
    """Town of Vail record: inputs only; the figures are recomputed, one for each way to use Table 220.55."""
    case = CASES["ev-training-3000-inputs"]
    dropped = {"noncoincident_motor": "per_alternative"}
    small = calculate(one_house(case, "2023", choices={**dropped, "cooking_note2_small_units": True}))["standard"]
    columns = calculate(one_house(case, "2023", choices=dropped))["standard"]
    assert small["total_va"] == exact(case["recomputed"]["total_va"])
    assert small["minimum_service_a"] == case["recomputed"]["min_service_A"]
    assert columns["total_va"] == exact(case["recomputed"]["alt_total_va_cooking_by_columns"])
    # hand: the other reading takes 25 % of the dropped 6,720 VA compressor in place of the 1,127 VA compactor
    other = calculate(one_house(case, "2023"))["standard"]
    assert other["total_va"] - columns["total_va"] == (Fraction(6720) - 1127) / 4


@shows("mh-duplex-std-ERR")
def test_duplex_by_part_three() -> None:
    """Mike Holt forum: 73,172 VA printed, the range line added twice; the lines add to 60,521.45 VA."""
    case = CASES["mh-duplex-std-ERR"]
    answer = calculate(duplex(case))["standard"]
    assert answer["total_va"] == exact(case["recomputed"]["total_va"])
    assert answer["total_va"] != exact(case["result"]["total_va"])
    assert near(answer["amperes"], case["recomputed"]["amperes_at_240"], "0.01")


@shows("mh-duplex-opt")
def test_duplex_by_three_units() -> None:
    """Mike Holt forum: three identical units at 45 %, printed 59,782 VA."""
    case = CASES["mh-duplex-opt"]
    answer = calculate(duplex(case))["two_family"]
    assert answer["governs"] == "three_units"
    assert answer["total_va"] == exact(case["recomputed"]["total_va"])
    assert near(answer["total_va"], case["result"]["total_va"], "0.5")


# ---------- optional methods


@pytest.mark.parametrize("edition", BEFORE_2026)
@pytest.mark.parametrize("case_id", by_id("nfpa-d2a", "nfpa-d2c-2005", "acg-2000-opt"))
def test_house_by_the_optional_method(case_id: str, edition: str) -> None:
    case = CASES[case_id]
    answers = calculate(one_house(case, edition))
    expected = case["recomputed"] if case["test_use"] == "corrected_value" else case["result"]
    assert answers["optional_one"]["total_va"] == exact(expected["total_va"])
    assert answers["optional_one"]["minimum_service_a"] == case["result"]["min_service_A"]
    at_240 = case["recomputed"].get("amperes_at_240", case["recomputed"]["amperes"])
    assert near(answers["optional_one"]["amperes"], at_240, "0.01")
    if "neutral_va" in case["result"]:
        assert answers["standard"]["neutral_va"] == exact(case["result"]["neutral_va"])


@shows("nfpa-d2c-1999")
def test_older_edition_is_refused() -> None:
    """NEC 1999 / 2002 took the supplement at 100 %: 40,040 VA. That edition is not encoded and must be refused."""
    answers = calculate(one_house(CASES["nfpa-d2c-1999"], "1999"))
    assert all("1999" in answer["refused"] for answer in answers.values())


@shows("mh-1200-addheat")
def test_heat_added_to_an_old_house() -> None:
    """Mike Holt forum mixed two methods (22,540 VA); the file recomputes the house by each method."""
    case = CASES["mh-1200-addheat"]
    answers = calculate(one_house(case, "2014", existing=True, service_ampacity_a=100))
    assert answers["existing"]["form"] == "B"
    assert answers["existing"]["total_va"] == exact(case["recomputed"]["alt_220_83B_va"])
    assert near(answers["existing"]["amperes"], case["recomputed"]["alt_220_83B_A"], "0.01")
    assert answers["optional_one"]["total_va"] == exact(case["recomputed"]["alt_220_82_65pct_va"])


@pytest.mark.parametrize("edition", BEFORE_2026)
@pytest.mark.parametrize("case_id", by_id("hoh-1000-existing", "hoh-1000-new"))
def test_existing_house_without_new_heat(case_id: str, edition: str) -> None:
    case = CASES[case_id]
    answer = calculate(one_house(case, edition, existing=True, service_ampacity_a=100))["existing"]
    assert answer["form"] == "A"
    assert answer["total_va"] == exact(case["result"]["total_va"])
    assert near(answer["amperes"], case["recomputed"]["amperes"], "0.01")


@shows("mh-12unit-84")
@pytest.mark.parametrize("edition", BEFORE_2026)
def test_twelve_apartments(edition: str) -> None:
    """Mike Holt forum: 12 x 36,360 VA at 41 %; 743.7 A printed is a slip, 745.38 A is right."""
    case = CASES["mh-12unit-84"]
    # The post gives only the connected load; hand: 1,000 ft2 x 3 + 3 x 1,500 + 12,000 + 9,000 + 7,860 = 36,360 VA
    loads = [
        load("range", {"kw": 12}, 240, True),
        load("space_heat", {"kw": 9}, 240, False),
        load("other", {"va": 7860}, 240, False),
    ]
    inputs = {"floor_area_ft2": 1000, "small_appliance_circuits": 2, "laundry_circuits": 1}
    answer = calculate(case_of([unit_of(inputs, 12, loads)], edition))["multifamily"]
    assert answer["connected_va"] == 12 * exact(case["inputs"]["connected_va_each"])
    assert answer["total_va"] == exact(case["recomputed"]["total_va"])
    assert near(answer["amperes"], case["recomputed"]["amperes"], "0.01")


@shows("ecmag-LVI-hp6")
def test_six_heat_pumps_connected() -> None:
    """ELECTRICAL CONTRACTOR (C. R. Miller): 8,448 VA printed per unit; with 15 kW heat 140,688 VA for six, derived."""
    case = CASES["ecmag-LVI-hp6"]
    entry = case["inputs"]["heat_pump"][0]
    fan_va = exact(entry["condenser_fan_A"]) * entry["V"]
    compressor_va, blower_va = exact(entry["compressor_A"]) * entry["V"], exact(entry["blower_A"]) * entry["V"]
    pump = load(
        "heat_pump",
        {"va": compressor_va + fan_va},
        240,
        False,
        together=True,
        supplemental_va=str(exact(entry["supplemental_kw"]) * 1000),
    )
    blower = load("air_handler", {"va": blower_va}, 240, False)
    unit = {
        "count": 6,
        "floor_area_ft2": 0,
        "small_appliance_circuits": 0,
        "laundry_circuits": 0,
        "loads": [pump, blower],
    }
    assert standard.cooling(items_of([pump])).va + blower_va == exact(case["result"]["per_unit_cooling_va"])
    assert 6 * several.unit_connected_va(unit, "2014") == case["recomputed"]["total_va"]


@shows("ecmag-LIV-light32")
def test_lighting_of_32_apartments() -> None:
    """ELECTRICAL CONTRACTOR (C. R. Miller): answer not visible; 32 x 1,050 ft2 x 3 VA, derived."""
    case = CASES["ecmag-LIV-light32"]
    unit = unit_of(case["inputs"], 32, [])
    assert 32 * several.unit_connected_va(unit, "2014") == case["recomputed"]["total_va"]


# ---------- single parts


@pytest.mark.parametrize("case_id", by_id("nfpa-d6a", "nfpa-d6b", "ees-range-14", "knowhow-oven-3", "mh-cook-3-6-14"))
def test_cooking(case_id: str) -> None:
    case = CASES[case_id]
    items = items_of(all_loads(case["inputs"]))
    assert pieces.cooking_demand_va(items, "120/240") == exact(case["result"]["total_va"])
    if "column_C_note2_va" in case["recomputed"]:
        assert pieces.cooking_demand_va(items, "120/240", True) == exact(case["recomputed"]["column_C_note2_va"])


@pytest.mark.parametrize("edition", BEFORE_2026)
@pytest.mark.parametrize("case_id", by_id("ecmag-LV-wh4", "expt-ppt-appl4-ERR"))
def test_four_fastened_appliances(case_id: str, edition: str) -> None:
    case = CASES[case_id]
    demand = standard.appliances(items_of(all_loads(case["inputs"])), edition)
    assert demand.va == exact(case["recomputed"]["total_va"])
    assert (demand.va == case["result"]["total_va"]) == (case["test_use"] == "exact")


@shows("expt-ppt-light11k-ERR", "txm-2400-light", "howto-2500-light", "coursehero-2800-part")
def test_lighting_tiers() -> None:
    """electricianpracticetests.com: 6,150 VA printed for 11,000, right is 5,800; urban-wind.org: 6,150 VA for 12,000;
    txmasterelectrician.com: 2,400 ft2 is 7,200 VA; Course Hero: 2,800 ft2 is 6,465 VA after demand."""
    wrong = CASES["expt-ppt-light11k-ERR"]
    assert pieces.lighting_demand_va(exact(wrong["inputs"]["connected_va"])) == exact(wrong["recomputed"]["total_va"])
    for case_id, key in (("howto-2500-light", "total_va"), ("coursehero-2800-part", "lighting_va")):
        case = CASES[case_id]
        connected = pieces.lighting_and_circuits_va(unit_of(case["inputs"], 1, []), 3)
        assert pieces.lighting_demand_va(connected) == exact(case["result"][key])
    plain = CASES["txm-2400-light"]
    assert pieces.lighting_and_circuits_va(unit_of(plain["inputs"], 1, []), 3) == plain["result"]["total_va"]


@shows("coursehero-2800-part")
def test_worksheet_with_a_blower_counted_as_the_fourth_appliance() -> None:
    """Course Hero worksheet: 3,239.25 VA needs the furnace motor among the four; an air handler does not count."""
    case = CASES["coursehero-2800-part"]
    as_printed = items_of(all_loads(case["inputs"]))
    assert standard.appliances(as_printed, "2017").va == exact(case["result"]["appliances_va"])
    blower = load("air_handler", case["inputs"]["appliances"][3], 120, True)
    as_decided = [*as_printed[:3], item_of(blower, 1)]
    # hand: 10 x 120 + 8.6 x 120 + 8 x 120 = 3,192 VA, three appliances, 100 %
    assert standard.appliances(as_decided, "2017").va == 3192


@pytest.mark.parametrize("case_id", by_id("expertce-evse-5000", "expertce-evse-14400"))
def test_evse_2023(case_id: str) -> None:
    case = CASES[case_id]
    items = items_of(all_loads(case["inputs"]))
    assert standard.evse(items, "2023").va == case["result"]["total_va"]
    assert standard.evse(items, "2026").va == exact(case["inputs"]["ev"][0]["rating_va"])


def test_every_published_case_is_run_or_named() -> None:
    """No case is passed over in silence."""
    assert SHOWN | set(NOT_EXPRESSIBLE) == set(CASES)
    assert not SHOWN & set(NOT_EXPRESSIBLE)


def test_engine_by_name_gives_the_same_answer() -> None:
    """One method asked for alone is the one in the whole answer."""
    case = one_house(CASES["nfpa-d1a"], "2017")
    assert one_method("standard", case) == calculate(case)["standard"]
