"""Old conductors on another breaker, old cable as it is written, and loads that are not known: by hand."""

from __future__ import annotations

import pytest

from deadfront.assess import assess
from deadfront.circuits.rules.runs.answer import runs_of
from deadfront.codebook import open_book
from deadfront.codebook.conductors import insulation_of
from deadfront.job.read import read_job
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.circuits.runs_made import NM, PIPE, checks, facts_from

FEEDER = """
[job]
format = 1
name = "Swap"
code.edition = "2023"
existing = true
[before.service]
system = "120/240 1ph 3w"
[[before.panels]]
id = "p-aa"
fed_by = "service"
spaces = 40
[[before.panels]]
id = "p-bb"
fed_by = "b-01"
spaces = 12
feeder = { type = "SEU", size = "4", metal = "aluminum", ground = "none", runs = ["wall"], terminals_c = 75 }
[[before.breakers]]
id = "b-01"
panel = "p-aa"
spaces = [1, 3]
rating_a = 60
poles = 2
[[work]]
id = "w-01a"
say = "Panel change"
"""
ON_NEW_BREAKER = """remove = ["b-01"]
add.breakers = [{ id = "b-02", panel = "p-aa", spaces = [1, 3], rating_a = 60, poles = 2 }]
set = { p-bb = { fed_by = "b-02"%s } }
"""
MOVED = 'move = { p-bb = { place = "garage" } }\n'


def of_feeder(work: str) -> dict[str, Check]:
    checks_ = assess(read_job(FEEDER + work).job, open_book("2023")).checks
    return {check.id: check for check in checks_ if check.thing == "p-bb" and check.id.startswith("feeder.")}


# --- what the work does with the wires themselves ------------------------------------------------------------------
def test_an_old_feeder_on_another_breaker_keeps_its_old_ground() -> None:
    """The breaker and the conductors are judged together; the ground that was never there is no new work."""
    found = of_feeder(ON_NEW_BREAKER % "")
    assert "feeder.ground" not in found and "feeder.conductor" in found


def test_a_feeder_laid_anew_or_a_panel_that_moves_is_asked_for_its_ground() -> None:
    laid = of_feeder(ON_NEW_BREAKER % ', feeder = { size = "2" }')
    assert laid["feeder.ground"].outcome is Outcome.FAILS
    assert of_feeder(MOVED)["feeder.ground"].outcome is Outcome.FAILS


def test_a_ground_is_no_larger_than_conductors_whose_metal_is_not_entered() -> None:
    """250.122(A): 12 AWG conductors under 30 A ask for a 12 AWG ground, not the 10 of the table."""
    cooler = {"kind": "air_conditioner", "minimum_circuit_ampacity_a": 18, "maximum_overcurrent_a": 30, "volts": 240}
    cable = {"type": "NM-B", "runs": ["wall"], "size": "12", "ground": "wire", "ground_size": "12"}
    assert checks(cable, 30, cooler, poles=2)["circuit.ground"].outcome is Outcome.MEETS
    assert checks({**cable, "ground_size": "14"}, 30, cooler, poles=2)["circuit.ground"].outcome is Outcome.FAILS


@pytest.mark.parametrize("written", ["K&T", "k & t", "K+T", "K-T", "K/T", "KT", "Knob-and-tube", "knob & tube",
                                     "Knob and tube", "KNOB AND TUBE (old)"])  # fmt: skip
def test_knob_and_tube_is_known_as_it_is_written(written: str) -> None:
    book = open_book("2023")
    assert insulation_of(book, written) == insulation_of(book, "knob and tube")


# --- breakers of motors and heaters ---------------------------------------------------------------------------------
def test_no_least_breaker_of_a_motor() -> None:
    """430.52 sets a most. Hand: 2 hp at 230 V 12 A: 250 percent is 30 A; a 15 A breaker breaks no rule."""
    well = {"kind": "well_pump", "hp": "2", "volts": 240}
    assert checks({**PIPE, "size": "12"}, 15, well, poles=2)["circuit.motor_protection"].outcome is Outcome.MEETS
    unread = {"kind": "well_pump", "volts": 240}
    found = checks({**PIPE, "size": "12"}, 15, unread, poles=2)["circuit.motor_protection"]
    assert found.outcome is Outcome.CANNOT_TELL and found.missing


def test_a_motor_among_motors_asks_its_quarter_of_conductors_only() -> None:
    """Hand: two 1 hp pumps at 230 V, 8 A each: 8 + 8 = 16 A for the breaker, 8 x 1.25 + 8 = 18 A for conductors."""
    pump = {"kind": "well_pump", "hp": "1", "volts": 240, "cord_and_plug": False}
    assert checks({**PIPE, "size": "14"}, 15, pump, pump, poles=2)["circuit.breaker"].outcome is Outcome.FAILS
    found = checks({**PIPE, "size": "12"}, 16, pump, pump, poles=2)
    assert found["circuit.breaker"].outcome is Outcome.MEETS


def test_a_motor_with_other_load_counts_at_125_percent_for_its_circuit() -> None:
    """Hand, 220.11(A) of 2023: 1/2 hp at 115 V 9.8 A x 1.25 = 12.25, and 8.33 A: 20.6 A is past 20 A."""
    pump = {"kind": "well_pump", "hp": "1/2", "volts": 120}
    other = {"kind": "other", "nameplate_w": 1000, "volts": 120}
    found = checks({**PIPE, "size": "12"}, 20, pump, other)["circuit.breaker"]
    assert found.outcome is Outcome.FAILS and any("220.11(A)" in cite.section for cite in found.cites)


def test_the_largest_breaker_of_a_water_heater_has_a_section_of_its_own() -> None:
    """Hand: 4500 W at 240 V 18.75 A: 150 percent is 28.1 A, so 30 A at most."""
    found = checks({**NM, "size": "8"}, 40, {"kind": "water_heater", "nameplate_w": 4500}, poles=2)
    check = found["circuit.water_heater"]
    assert check.say.key.endswith("fails_most") and all("422.11(E)" in cite.section for cite in check.cites)
    least = checks({**NM, "size": "12"}, 20, {"kind": "water_heater", "nameplate_w": 4500}, poles=2)
    assert not any("422.11" in cite.section for cite in least["circuit.water_heater"].cites)


# --- conductors below their load ------------------------------------------------------------------------------------
def test_conductors_below_the_load_are_not_cured_by_a_smaller_breaker() -> None:
    charger = {"kind": "evse", "nameplate_a": 48}
    short = checks({**NM, "size": "6"}, 60, charger, poles=2)["circuit.conductor"]
    assert short.say.key.endswith("fails_load") and str(short.remedy.key) == "remedy.circuit.conductor_fails_load"
    over = checks({**NM, "size": "10"}, 60, charger, poles=2)["circuit.conductor"]
    assert over.say.key.endswith("fails_breaker") and str(over.remedy.key) == "remedy.circuit.conductor"


def test_an_unknown_load_under_a_breaker_above_the_conductors_is_not_passed() -> None:
    """Hand: 6 AWG NM-B 55 A under 60 A (next size up): what the load is nobody knows; it carries all of 50 A."""
    cable = {**NM, "size": "6"}
    above = checks(cable, 60, poles=2, purpose="individual")["circuit.conductor"]
    assert above.outcome is Outcome.CANNOT_TELL and above.missing
    assert checks(cable, 50, poles=2, purpose="individual")["circuit.conductor"].outcome is Outcome.MEETS


@pytest.mark.parametrize(("rating_a", "near"), [(37, (35, 40)), (7, (10,)), (9000, (6000,))])
def test_a_rating_that_is_none_names_both_neighbors(rating_a: int, near: tuple[int, ...]) -> None:
    """240.6(A): 35 and 40 A stand beside 37 A; none is below 10 A."""
    check = checks({**NM, "size": "8"}, rating_a, poles=2)["circuit.device"]
    assert tuple(check.say.params["near"]) == near and check.severity is Severity.CORRECT


# --- a service between the rows --------------------------------------------------------------------------------------
def test_the_smallest_conductors_of_a_320_a_service() -> None:
    """Hand: 83 percent of 320 A is 265.6 A: 300 kcmil copper 285 A, 400 kcmil aluminum 270 A (310.16, 75 C)."""
    service = {"system": "120/240 1ph 3w", "disconnect": {"rating_a": 320}}
    facts = facts_from({"service": service, "units": [{"id": "u-01", "floor_area_ft2": 3000}]})
    made = {each.metal: each for each in runs_of(facts)[-1].smallest}
    assert {metal: each.size for metal, each in made.items()} == {"copper": "300", "aluminum": "400"}
    assert {metal: each.step.value.low for metal, each in made.items()} == {"copper": 285, "aluminum": 270}
