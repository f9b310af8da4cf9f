"""Branch circuits from facts to run: ampacity, breaker, smallest conductors, grounds, and what is said of each."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from deadfront.assess import assess
from deadfront.codebook import open_book
from deadfront.job.read import read_job
from deadfront.worksheet.check import Outcome, Severity
from tests.circuits.runs_made import NM, PIPE, all_of, checks, ends, facts_from, figure, run, sizes

EV = {"kind": "evse", "nameplate_a": 40}
HEATER = {"kind": "water_heater", "nameplate_w": 4500}

MOVED = """
[job]
format = 1
name = "Swap"
code.edition = "2023"
existing = true
[[before.panels]]
id = "p-aa"
fed_by = "service"
spaces = 40
[[before.breakers]]
id = "b-01"
panel = "p-aa"
spaces = [1]
rating_a = 20
[[before.circuits]]
id = "c-01"
breaker = "b-01"
cable = { type = "NM", size = "12", metal = "copper", ground = "none", runs = ["wall"] }
[[work]]
id = "w-01a"
say = "Panel change"
remove = ["b-01"]
add.breakers = [{ id = "b-02", panel = "p-aa", spaces = [1], rating_a = 20 }]
set = { c-01 = { breaker = "b-02" } }
"""


def told(*args: Any, **more: Any) -> dict[str, tuple[str, str]]:
    """Outcome and words of each check."""
    return {ident: (c.outcome.name, c.say.key.rsplit(".", 1)[1]) for ident, c in checks(*args, **more).items()}


# --- the columns ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("cable", "rating_a", "current_a"),
    [
        ({**NM, "size": "12"}, 20, 20),  # hand: 60 C column of NM
        ({**NM, "size": "6"}, 50, 55),
        ({**PIPE, "size": "6"}, 50, 65),  # hand: 75 C terminals
        ({**PIPE, "size": "6", "terminals_c": 60}, 50, 55),
        ({**PIPE, "size": "4/0", "metal": "aluminum", "terminals_c": None}, 175, 180),  # over 100 A: 75 C column
        ({**PIPE, "type": "UF-B", "size": "10"}, 30, 30),
        ({**PIPE, "type": "SER", "size": "6", "metal": "aluminum"}, 50, 50),  # SE in a wall: by its terminals
        ({**PIPE, "type": "SER", "size": "8", "metal": "aluminum", "runs": ["insulation"]}, 40, 40),
        ({**PIPE, "type": "SER", "size": "10", "metal": "aluminum", "runs": ["insulation"]}, 25, 25),
    ],
)
def test_columns(cable: dict[str, Any], rating_a: int, current_a: int) -> None:
    """Hand: Table 310.16 by the column that each holds to."""
    assert ends(run(cable, rating_a, poles=2).ampacity) == (current_a, current_a)


def test_se_of_10_awg_and_smaller_in_insulation_is_held_to_60_c() -> None:
    """From memory, 338.10(B)(4): copper 10 AWG 30 A in thermal insulation, 35 A outside of it (75 C)."""
    inside, outside = ({**PIPE, "type": "SER", "size": "10", "runs": [place]} for place in ("insulation", "wall"))
    assert figure(run(inside, 30).ampacity) == 30 and figure(run(outside, 30).ampacity) == 35


def test_unread_terminals_leave_60_to_75_c() -> None:
    """Hand: 6 AWG copper 55 to 65 A; above 100 A the 75 C column stands."""
    made = run({**PIPE, "size": "6", "terminals_c": None}, 60)
    assert ends(made.ampacity) == (55, 65)
    assert [m.path for m in made.ampacity.all_missing()] == ["w-01a/c-01.cable.terminals_c"]


# --- heat and neighbors ---------------------------------------------------------------------------------------------
def test_attic_is_taken_at_60_c_until_it_is_measured() -> None:
    """Hand: NM-B 14: 25 x 0.71 = 17.75 A, above its 15 A column: the attic takes nothing from it."""
    assert ends(run({**NM, "size": "14", "runs": ["attic"]}, 15).ampacity) == (15, 15)
    made = run({**NM, "size": "10", "runs": ["attic"]}, 30)
    assert ends(made.ampacity) == (Decimal("28.40"), 30)  # hand: 40 x 0.71
    assert "attic_at_most_60c" in made.ampacity.all_assumed()
    assert ends(run({**NM, "size": "10", "runs": ["attic"], "ambient_c": 50}, 30).ampacity) == (30, 30)  # 40 x 0.82


def test_cables_side_by_side() -> None:
    """Hand: nine conductors of 12 AWG NM-B: 30 x 0.70 = 21 A, still 20 A; twenty: 15 A."""
    assert figure(run({**NM, "size": "12", "bundled": 9}, 20).ampacity) == 20
    assert figure(run({**NM, "size": "12", "bundled": 20}, 20).ampacity) == 15


def test_roof_in_the_sun_by_edition() -> None:
    """From memory: 2014 adds 22 C at 3 in; from 2017 nothing above 7/8 in. Hand: 10 AWG THWN-2 at 40 C."""
    cable = {**PIPE, "size": "10", "runs": ["roof"], "ambient_c": 40, "above_roof_in": 3}
    assert figure(run(cable, 30, edition="2014").ampacity) == Decimal("26.00")  # 62 C: 40 x 0.65
    assert figure(run(cable, 30, edition="2017").ampacity) == 35  # 40 C: 40 x 0.91 = 36.4, terminals 35
    assert figure(run({**cable, "above_roof_in": 0}, 30).ampacity) == Decimal("20.00")  # 73 C: 40 x 0.50


def test_a_nipple_needs_no_adjustment() -> None:
    """Hand: Chapter 9, Note 4: 12 conductors in 20 in: none; in 3 ft: 50 percent."""
    raceway = {"id": "r-01", "kind": "EMT", "trade_size": "1", "wires": [{"size": "12", "count": 12}]}
    cable = {**PIPE, "size": "12", "raceway": "r-01"}
    long, short = (run(cable, 20, raceways=[{**raceway, "length_ft": ft}]) for ft in (3, Decimal("1.67")))
    assert (figure(long.ampacity), figure(short.ampacity)) == (15, 25)


# --- breaker and conductor -----------------------------------------------------------------------------------------
def test_next_size_up_never_rescues_conductors_below_their_least() -> None:
    """Hand: 48 A charger asks 60 A; NM-B 6 AWG is 55 A: a 60 A breaker is the next size up, and still no."""
    load = {"kind": "evse", "nameplate_a": 48}
    assert told({**NM, "size": "6"}, 60, load, poles=2)["circuit.conductor"] == ("FAILS", "fails_load")
    assert told({**NM, "size": "4"}, 60, load, poles=2)["circuit.conductor"] == ("MEETS", "meets")


def test_next_size_up_is_not_for_several_receptacles() -> None:
    """Hand, 240.4(B)(1): 10 AWG copper in the heat, 28.4 A: 25 A over receptacles, 30 A over one appliance."""
    cable = {**NM, "size": "10", "runs": ["attic"], "ambient_c": 60}
    assert figure(run(cable, 30, purpose="general").breaker_most) == 25
    assert figure(run(cable, 30, HEATER, poles=2).breaker_most) == 30


@pytest.mark.parametrize(("size", "metal", "most_a"), [("14", "copper", 15), ("12", "copper", 20), ("10", "copper", 30),
                                                       ("12", "aluminum", 15), ("10", "aluminum", 25)])  # fmt: skip
def test_small_conductors(size: str, metal: str, most_a: int) -> None:
    """Hand, 240.4(D): whatever their column says."""
    made = run({**PIPE, "size": size, "metal": metal}, 15, purpose="individual")
    assert figure(made.breaker_most) == most_a


def test_a_breaker_too_large_for_old_conductors_is_a_danger_though_untouched() -> None:
    found = checks({**NM, "size": "14"}, 30, new=False, purpose="general")
    assert [*found] == ["circuit.conductor"]
    check = found["circuit.conductor"]
    assert (check.outcome, check.severity) == (Outcome.FAILS, Severity.DANGER)
    assert checks({**NM, "size": "14"}, 15, new=False, purpose="general") == {}


def test_unknown_metal_fails_only_where_copper_would_fail() -> None:
    """Hand: 10 AWG is 30 A of copper at most: 40 A is too much for either; 30 A cannot be told."""
    cable = {"type": "NM-B", "size": "10", "terminals_c": 75, "runs": ["wall"]}
    assert told(cable, 40)["circuit.conductor"] == ("FAILS", "fails_breaker")
    assert told(cable, 30)["circuit.conductor"] == ("CANNOT_TELL", "cannot_tell")
    assert told(cable, 30, new=False) == {}


def test_old_conductors_under_a_new_breaker_are_new_work() -> None:
    """Reach is that of the circuit and its breaker together."""
    before = {
        "breakers": [{"id": "b-01", "panel": "p-aa", "poles": 1, "rating_a": 20}],
        "circuits": [{"id": "c-01", "breaker": "b-02", "cable": {**NM, "size": "12"}, "purpose": "general"}],
    }
    add = {"breakers": [{"id": "b-02", "panel": "p-aa", "poles": 1, "rating_a": 20}]}
    facts = facts_from(before, add=add)
    assert facts.cases["c-01"].reach.name == "NEW"


def test_a_missing_fact_is_named_for_what_the_work_touches_only() -> None:
    found = checks({}, None, EV, poles=2)["circuit.conductor"]
    assert found.outcome is Outcome.CANNOT_TELL
    assert {m.path.rsplit(".", 1)[1] for m in found.missing} >= {"size", "metal", "type", "rating_a"}
    assert checks({}, None, EV, poles=2, new=False) == {}


def test_an_unknown_type_of_cable_is_said_and_nothing_else_breaks() -> None:
    assert told({**NM, "type": "ribbon", "size": "12"}, 20)["circuit.conductor"] == ("CANNOT_TELL", "out_of_table")


def test_a_size_without_ampacity_is_said() -> None:
    """18 AWG has no ampacity in the table; aluminum begins at 12. What its breaker passes is known all the same."""
    assert told({**NM, "size": "18"}, 7)["circuit.conductor"] == ("CANNOT_TELL", "out_of_table")
    assert told({**NM, "size": "14", "metal": "aluminum"}, 15)["circuit.conductor"] == ("CANNOT_TELL", "out_of_table")
    assert told({**NM, "size": "18"}, 15)["circuit.conductor"] == ("FAILS", "fails_breaker")


def test_a_small_conductor_has_its_limit_whatever_the_cable_is() -> None:
    """240.4(D): 14 AWG copper 15 A, 12 AWG 20 A; an old cable of a kind not known here does not hide it."""
    for size, rating_a, bad in (("14", 30, True), ("14", 15, False), ("12", 30, True), ("12", 20, False)):
        found = checks({**NM, "type": "cloth cable", "size": size}, rating_a, new=False)
        assert ("circuit.conductor" in found) is bad
        if bad:
            assert found["circuit.conductor"].severity.name == "DANGER"


def test_a_ground_is_never_asked_larger_than_the_conductors() -> None:
    """250.122(A): 12-2 with a 12 AWG ground on the 30 A that a nameplate allows; 250.122 alone would say 10."""
    cooler = {"kind": "air_conditioner", "minimum_circuit_ampacity_a": 18, "maximum_overcurrent_a": 30, "volts": 240}
    cable = {**NM, "size": "12", "ground": "wire", "ground_size": "12"}
    found = checks(cable, 30, cooler, poles=2)["circuit.ground"]
    assert found.outcome.name == "MEETS"
    assert checks({**cable, "ground_size": "14"}, 30, cooler, poles=2)["circuit.ground"].outcome.name == "FAILS"


def test_an_old_circuit_on_another_breaker_is_not_asked_for_a_ground() -> None:
    """A panel swap moves old cables, some without a ground: their breaker is judged, their ground is left as it is."""
    found = {check.id for check in assess(read_job(MOVED).job, open_book("2023")).checks if check.thing == "c-01"}
    assert "circuit.ground" not in found and "circuit.conductor" in found
    laid_anew = MOVED.replace('breaker = "b-02"', 'breaker = "b-02", cable = { size = "12" }')
    found = {check.id for check in assess(read_job(laid_anew).job, open_book("2023")).checks if check.thing == "c-01"}
    assert "circuit.ground" in found


# --- the load ------------------------------------------------------------------------------------------------------
def test_water_heater() -> None:
    """Hand: 4500 / 240 = 18.75 A x 1.25 = 23.4 A: 25 A at least, 30 A at most (150 percent = 28.1), 10 AWG."""
    made = run({**NM}, 30, HEATER, poles=2)
    assert figure(made.least) == Decimal("23.4375") and figure(made.breaker_least) == 25
    assert sizes(made)["copper"] == "10"
    assert told({**NM, "size": "10"}, 30, HEATER, poles=2)["circuit.water_heater"] == ("MEETS", "meets")
    assert told({**NM, "size": "12"}, 20, HEATER, poles=2)["circuit.water_heater"] == ("FAILS", "fails_least")
    assert told({**NM, "size": "8"}, 40, HEATER, poles=2)["circuit.water_heater"] == ("FAILS", "fails_most")


def test_range_by_the_range_table_and_never_under_40_a() -> None:
    """Hand: 12 kW: 8 kW by column C = 33.3 A, 40 A circuit; 14 kW: 8 kW x 1.10 = 36.7 A; 8 kW: 80 percent, 26.7 A."""
    at = {w: run({**NM}, 40, {"kind": "range", "nameplate_w": w}, poles=2) for w in (8000, 12000, 14000)}
    assert [round(figure(each.load), 2) for each in at.values()] == [
        Decimal("26.67"),
        Decimal("33.33"),
        Decimal("36.67"),
    ]
    assert [figure(each.breaker_least) for each in at.values()] == [30, 40, 40]
    assert sizes(at[12000])["copper"] == "8"  # hand: NM-B 8 AWG 40 A


def test_a_range_gets_no_next_size_up() -> None:
    """Hand, 210.19(A)(3): 8 AWG aluminum 35 A at 60 C: 35 A at most; at 75 C 40 A."""
    cable = {"type": "SER", "size": "8", "metal": "aluminum", "runs": ["wall"], "insulation_c": 75}
    load = {"kind": "range", "nameplate_w": 12000}
    assert figure(run({**cable, "terminals_c": 60}, 40, load, poles=2).breaker_most) == 35
    assert figure(run({**cable, "terminals_c": 75}, 40, load, poles=2).breaker_most) == 40


def test_oven_and_cooktop_on_one_circuit_are_one_range() -> None:
    """Hand, Note 4: 6 + 5 kW = 11 kW: 8 kW; a single oven counts its nameplate."""
    both = run({**NM}, 40, {"kind": "oven", "nameplate_w": 6000}, {"kind": "cooktop", "nameplate_w": 5000}, poles=2)
    assert round(figure(both.load), 2) == Decimal("33.33")
    assert figure(run({**NM}, 40, {"kind": "oven", "nameplate_w": 6000}, poles=2).load) == 25


def test_a_charger_set_lower() -> None:
    """Hand: 48 A set to 32 A asks 40 A where only qualified people can change it, and the edition says so (2020)."""
    load = {"kind": "evse", "nameplate_a": 48, "setting_a": 32}
    assert figure(run(NM, 40, {**load, "setting_restricted": True}, poles=2).least) == 40
    assert figure(run(NM, 40, {**load, "setting_restricted": False}, poles=2).least) == 60
    assert figure(run(NM, 40, {**load, "setting_restricted": True}, poles=2, edition="2017").least) == 60
    assert ends(run(NM, 40, load, poles=2).least) == (40, 60)


def test_a_breaker_listed_for_its_full_rating() -> None:
    """Hand, 210.20(A) exception: 40 A continuous on 40 A; a charger keeps its 125 percent (625.41 has no exception)."""
    full = {"listed_full_load": True}
    lasting = run({**PIPE}, 40, poles=2, breaker=full, load_va=9600, continuous_va=9600)
    assert figure(lasting.least) == 40
    assert figure(run({**PIPE}, 40, EV, poles=2, breaker=full).least) == 50


def test_a_new_load_on_old_conductors_is_new_work() -> None:
    """A new air conditioner on the old circuit: breaker and conductors are held against it; the old ground is not."""
    before = {
        "breakers": [{"id": "b-01", "panel": "p-aa", "poles": 2, "rating_a": 50}],
        "circuits": [{"id": "c-01", "breaker": "b-01", "cable": {**NM, "size": "10", "ground": "none"}}],
    }
    unit = {"id": "l-01", "kind": "air_conditioner", "circuit": "c-01", "minimum_circuit_ampacity_a": 18,
            "maximum_overcurrent_a": 30}  # fmt: skip
    found = {check.id: check.outcome for check in all_of(facts_from(before, add={"loads": [unit]}))}
    assert found == {"circuit.conductor": Outcome.MEETS, "circuit.hvac": Outcome.FAILS}


def test_a_motor_in_the_heat_needs_its_125_percent_after_correction() -> None:
    """Hand: 12 A x 1.25 = 15 A; 14 AWG 25 A x 0.58 (70 C) = 14.5 A: 12 AWG."""
    pump = {"kind": "well_pump", "hp": "2", "volts": 240}
    hot = run({**PIPE, "ambient_c": 70}, 30, pump, poles=2)
    assert sizes(hot)["copper"] == "12"


def test_a_load_entered_without_volts_is_a_range() -> None:
    """Hand: 2400 VA at 120 to 240 V: 10 to 20 A."""
    made = run({**NM, "size": "12"}, 20, load_va=2400, breaker={"poles": None})
    assert ends(made.load) == (10, 20)


def test_air_conditioner_over_its_marking() -> None:
    """The old breaker stays when a smaller unit comes: a danger, touched or not."""
    unit = {"kind": "air_conditioner", "minimum_circuit_ampacity_a": 18, "maximum_overcurrent_a": 30}
    for new in (True, False):
        found = checks({**NM, "size": "10"}, 40, unit, poles=2, new=new)["circuit.hvac"]
        assert found.outcome is Outcome.FAILS and found.say.key.endswith("fails_most")
    assert told({**NM, "size": "12"}, 30, unit, poles=2)["circuit.conductor"] == ("MEETS", "meets")  # 240.4(G)
    assert told({**NM, "size": "14"}, 30, unit, poles=2)["circuit.conductor"] == ("FAILS", "fails_load")


def test_room_air_conditioner() -> None:
    """Hand, 440.62: 12 A on 15 A to itself (80 percent); with other load 10 A is the most on 20 A."""
    unit = {"kind": "air_conditioner", "cord_and_plug": True, "volts": 120}
    alone = told({**NM, "size": "14"}, 15, {**unit, "nameplate_a": 12}, purpose="individual")
    assert alone["circuit.hvac"] == ("MEETS", "meets_share")
    large = told({**NM, "size": "14"}, 15, {**unit, "nameplate_a": 13}, purpose="individual")
    assert large["circuit.hvac"] == ("FAILS", "fails_share")
    for amperes, word in ((10, "meets_share"), (11, "fails_share")):
        shared = told({**NM, "size": "12"}, 20, {**unit, "nameplate_a": amperes}, purpose="general")
        assert shared["circuit.hvac"][1] == word


def test_air_conditioner_without_nameplate_cannot_be_told() -> None:
    found = checks({**NM, "size": "10"}, 30, {"kind": "air_conditioner"}, poles=2)
    assert found["circuit.hvac"].outcome is found["circuit.conductor"].outcome is Outcome.CANNOT_TELL
    assert "minimum_circuit_ampacity_a" in found["circuit.hvac"].missing[0].path


def test_well_pump_on_a_breaker_above_its_conductors() -> None:
    """Hand: 2 hp 230 V 12 A: 14 AWG under 30 A is right for a motor; 35 A is not."""
    pump = {"kind": "well_pump", "hp": "2", "volts": 240}
    assert told({**PIPE, "size": "14"}, 30, pump, poles=2)["circuit.motor_protection"] == ("MEETS", "meets")
    assert told({**PIPE, "size": "14"}, 35, pump, poles=2)["circuit.motor_protection"] == ("FAILS", "fails_most")
    assert told({**PIPE, "size": "14"}, 30, pump, poles=2)["circuit.conductor"] == ("MEETS", "meets")


def test_general_circuits() -> None:
    """Hand, 210.23(A): 20 A: one appliance at most 16 A, fixed equipment at most 10 A, together at most 20 A."""

    def on(*amperes: float, cord: bool) -> str:
        loads = [{"kind": "other", "nameplate_a": a, "volts": 120, "cord_and_plug": cord} for a in amperes]
        return told({**NM, "size": "12"}, 20, *loads, purpose="general")["circuit.load"][1]

    assert on(16, cord=True) == "meets" and on(17, cord=True) == "fails_single"
    assert on(10, cord=False) == "meets" and on(11, cord=False) == "fails_fastened"
    assert on(12, 12, cord=True) == "fails_total"


# --- grounds, parallel ---------------------------------------------------------------------------------------------
def test_grounds() -> None:
    cable = {**PIPE, "size": "6", "ground": "wire"}
    assert told({**cable, "ground_size": "10"}, 60)["circuit.ground"] == ("MEETS", "meets")
    assert told({**cable, "ground_size": "12"}, 60)["circuit.ground"] == ("FAILS", "fails")
    assert told({**cable, "ground": "none"}, 60)["circuit.ground"] == ("FAILS", "fails_none")
    assert told({**cable}, 60)["circuit.ground"] == ("CANNOT_TELL", "cannot_tell")
    for kind, word in (("EMT", "meets_path"), ("PVC40", "fails_path"), ("FMC", "fails_path")):
        raceway = {"id": "r-01", "kind": kind, "trade_size": "1"}
        found = told({**cable, "ground": "raceway", "raceway": "r-01"}, 60, raceways=[raceway])
        assert found["circuit.ground"][1] == word


def test_the_ground_in_a_cable_goes_with_its_conductors() -> None:
    """12 AWG NM-B on 30 A: its 12 AWG ground is no 10 AWG: never a pass."""
    assert told({**NM, "size": "12"}, 20)["circuit.ground"] == ("MEETS", "meets_cable")
    assert told({**NM, "size": "12"}, 30)["circuit.ground"] == ("CANNOT_TELL", "cannot_tell")


def test_enlarging_for_heat_counts_before_2020_only() -> None:
    """Hand: 20 A, twenty conductors: 10 AWG needed; 10 AWG used is an enlargement from 12 in 2014: 12 x 1.59 = 10."""
    cable = {**PIPE, "size": "10", "bundled": 20, "ground": "wire"}
    grounds = [run(cable, 20, purpose="general", edition=e).ground[0].size for e in ("2014", "2020")]
    assert grounds == ["10", "12"]


def test_parallel_sets_only_from_1_0() -> None:
    assert told({**PIPE, "size": "2", "sets": 2}, 150, poles=2)["circuit.parallel"] == ("FAILS", "fails")
    assert told({**PIPE, "size": "1/0", "sets": 2}, 200, poles=2)["circuit.parallel"] == ("MEETS", "meets")
    assert told({**PIPE, "size": "2", "sets": 2}, 150, poles=2, new=False) == {"circuit.parallel": ("FAILS", "fails")}


# --- places -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("kind", "place", "word"),
    [
        ("NM-B", "outdoors", "fails"), ("NM-B", "wall", "meets"), ("THHN", "wet", "fails"),
        ("THHN/THWN-2", "wet", "meets"),
        ("UF-B", "underground", "meets"), ("SER", "underground", "fails"), ("SER", "outdoors", "meets"),
        ("MC", "wet", "cannot_tell_listing"),
    ],
)  # fmt: skip
def test_cables_where_they_may_run(kind: str, place: str, word: str) -> None:
    """From memory: 334.12, 310.10(C), 338.12, 300.5."""
    assert told({**NM, "type": kind, "size": "10", "runs": [place]}, 20)["circuit.cable_place"][1] == word
    assert "circuit.cable_place" not in told({**NM, "type": kind, "size": "10", "runs": [place]}, 20, new=False)


# --- bad input -----------------------------------------------------------------------------------------------------
def test_impossible_devices() -> None:
    assert told({**NM, "size": "12"}, 22)["circuit.device"] == ("FAILS", "nonstandard")
    assert told({**NM, "size": "12"}, 10, edition="2020")["circuit.device"] == ("FAILS", "nonstandard")
    assert "circuit.device" not in told({**NM, "size": "12"}, 10, edition="2023")


def test_a_breaker_serving_two_circuits() -> None:
    before = {
        "breakers": [{"id": "b-01", "panel": "p-aa", "poles": 1, "rating_a": 20}],
        "circuits": [{"id": f"c-0{n}", "breaker": "b-01"} for n in (1, 2)],
    }

    def device(**breaker: Any) -> list[str]:
        made = {**before, "breakers": [{**before["breakers"][0], **breaker}]}
        return [c.outcome.name for c in all_of(facts_from(made)) if c.id == "circuit.device"]

    assert device() == ["CANNOT_TELL"] and device(two_allowed=True) == [] and device(two_allowed=False) == ["FAILS"]
    assert device(poles=2) == []
