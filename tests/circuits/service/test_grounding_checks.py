"""Electrodes, rods, jumpers, bonds, feeder grounds, three-wire appliances: by hand, by edition, by what is touched."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.codebook import EDITIONS
from deadfront.worksheet.check import Outcome, Severity
from tests.circuits.service.houses import checks_of, facts_from, service, told

TOUCH = {"service": {"grounding": {}}}
ROD = {"id": "e-aa", "kind": "rod", "length_ft": 8}
ROD_2 = {"id": "e-ab", "kind": "rod", "length_ft": 8}
WATER = {"id": "e-bb", "kind": "water pipe", "length_ft": 40}
UFER = {"id": "e-cc", "kind": "concrete-encased", "length_ft": 20}


def grounding(*electrodes: dict[str, Any], complete: str = "yes", existing: bool = True, touch: bool = True,
              edition: str = "2023", **facts: Any) -> Any:  # fmt: skip
    before = {"service": service(grounding=facts), "electrodes": list(electrodes),
              "complete": {"electrodes": complete}}  # fmt: skip
    return facts_from(before, edition, set_=TOUCH if touch else None, existing=existing)


# --- electrodes --------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("electrodes", "complete", "outcome"),
    [
        ([], "yes", "FAILS none"),
        ([], "unknown", "CANNOT_TELL open"),
        ([WATER], "yes", "FAILS water_alone"),  # 250.53(D)(2): a city's handout says the same
        ([WATER], "unknown", "CANNOT_TELL open"),
        ([WATER, ROD, ROD_2], "yes", "MEETS met"),
        ([UFER], "yes", "MEETS met"),
    ],
)
def test_the_system(electrodes: list[dict[str, Any]], complete: str, outcome: str) -> None:
    assert told(grounding(*electrodes, complete=complete), "grounding.electrodes") == [outcome]


def test_steel_in_a_footing_must_join_if_it_can_be_reached_and_is_asked_for_in_new_work_only() -> None:
    """250.50 and its exception: an existing building need not break concrete."""
    fails = told(grounding(ROD, ROD_2, concrete_steel_present="yes"), "grounding.electrodes")
    assert fails == ["MEETS met", "FAILS steel_fails"]
    assert told(grounding(UFER, concrete_steel_present="yes"), "grounding.electrodes")[1] == "MEETS steel_meets"
    assert told(grounding(ROD, ROD_2), "grounding.electrodes") == ["MEETS met"]
    new = told(grounding(ROD, ROD_2, existing=False), "grounding.electrodes")
    assert new == ["MEETS met", "CANNOT_TELL steel_cannot_tell"]


@pytest.mark.parametrize(
    ("electrode", "outcome"),
    [
        ({"kind": "rod", "length_ft": 8}, "MEETS"),
        ({"kind": "rod", "length_ft": 6}, "FAILS"),
        ({"kind": "water pipe", "length_ft": 9}, "FAILS"),
        ({"kind": "water pipe", "length_ft": 10}, "MEETS"),
        ({"kind": "concrete-encased", "length_ft": 19}, "FAILS"),
        ({"kind": "ground ring", "length_ft": 20}, "MEETS"),
    ],
)
def test_an_electrode_too_short_is_none(electrode: dict[str, Any], outcome: str) -> None:
    """From memory: 8 ft of rod, 10 ft of water pipe, 20 ft of ring or footing steel."""
    found = told(grounding({"id": "e-aa", **electrode}), "grounding.electrodes", "e-aa")
    assert [each.split()[0] for each in found] == [outcome]


# --- rods --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("electrodes", "ohm", "complete", "outcome"),
    [
        ([ROD], None, "yes", ["CANNOT_TELL alone_open"]),
        ([ROD], 25, "yes", ["MEETS alone_met"]),  # 25 ohm or less
        ([ROD], 25.1, "yes", ["FAILS alone_wrong"]),
        ([ROD], 60, "unknown", ["CANNOT_TELL alone_open"]),  # another electrode may be there
        ([ROD, WATER], 60, "yes", ["FAILS alone_wrong"]),  # a water pipe is no supplement of a rod
        ([ROD, UFER], 60, "yes", []),  # footing steel is
        ([ROD, ROD_2], 60, "yes", []),  # two rods: nothing need be measured
    ],
)
def test_one_rod_or_two(electrodes: list[dict[str, Any]], ohm: float | None, complete: str, outcome: list[str]) -> None:
    facts = {} if ohm is None else {"electrodes_resistance_ohm": ohm}
    assert told(grounding(*electrodes, complete=complete, **facts), "grounding.rods") == outcome


@pytest.mark.parametrize(("apart", "outcome"), [(6, "MEETS"), (5.9, "FAILS"), (None, "CANNOT_TELL")])
def test_rods_stand_six_feet_apart(apart: float | None, outcome: str) -> None:
    rod = {**ROD} | ({} if apart is None else {"apart_ft": apart})
    assert told(grounding(rod, ROD_2), "grounding.rods", "e-aa")[0].startswith(outcome)


# --- conductors at electrodes ------------------------------------------------------------------------------------
def test_aluminum_near_the_earth_a_bad_clamp_and_a_splice_are_told() -> None:
    rod = {**ROD, "conductor_metal": "aluminum", "conductor_size": "4", "clamp_listed": False, "only_to_it": True}
    found = told(grounding(rod, conductor_spliced=True), "grounding.electrode_conductor", "e-aa")
    assert found == ["MEETS meets", "FAILS aluminum", "FAILS clamp"]
    spliced = told(grounding(rod, conductor_spliced=True), "grounding.electrode_conductor")
    assert "FAILS spliced" in spliced
    old = grounding(rod, conductor_spliced=True, touch=False)
    assert told(old, "grounding.electrode_conductor", "e-aa") == ["MEETS meets"]


# --- jumpers -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("facts", "outcome"),
    [
        ({}, "CANNOT_TELL open"),
        ({"bonding_jumper": "yes"}, "CANNOT_TELL open"),
        ({"bonding_jumper": "yes", "bonding_jumper_kind": "screw"}, "MEETS part_met"),  # a listed part
        ({"bonding_jumper": "yes", "bonding_jumper_kind": "strap"}, "MEETS part_met"),
        ({"bonding_jumper": "yes", "bonding_jumper_kind": "wire"}, "CANNOT_TELL open"),
        ({"bonding_jumper": "yes", "bonding_jumper_kind": "wire", "bonding_jumper_size": "4"}, "MEETS wire_met"),
        ({"bonding_jumper": "yes", "bonding_jumper_kind": "wire", "bonding_jumper_size": "6"}, "FAILS small"),
        ({"bonding_jumper": "no"}, "FAILS none"),
    ],
)
def test_the_main_bonding_jumper(facts: dict[str, Any], outcome: str) -> None:
    """Hand: 4/0 aluminum: 4 copper by the table."""
    assert told(grounding(ROD, **facts), "grounding.bonding_jumper") == [outcome]


def test_a_missing_main_bonding_jumper_is_a_danger_in_an_old_house_too() -> None:
    found = [
        c for c in checks_of(grounding(ROD, touch=False, bonding_jumper="no")) if c.id == "grounding.bonding_jumper"
    ]
    assert [(c.outcome, c.severity) for c in found] == [(Outcome.FAILS, Severity.DANGER)]


@pytest.mark.parametrize(
    ("raceway", "jumped", "size", "outcome"),
    [
        ("steel", "yes", "4", ["MEETS met"]), ("steel", "yes", "6", ["FAILS small"]),
        ("steel", "no", None, ["FAILS loose"]), ("steel", "unknown", None, ["CANNOT_TELL open"]),
        ("pvc", "unknown", None, []), ("none", "no", None, []),
    ],
)  # fmt: skip
def test_a_metal_raceway_ahead_of_the_main(raceway: str, jumped: str, size: str | None, outcome: list[str]) -> None:
    part = service(grounding={"concentric_knockouts_jumped": jumped} | ({"supply_jumper_size": size} if size else {}))
    part["conductors"]["raceway"] = raceway
    assert told(facts_from({"service": part}, set_=TOUCH), "grounding.supply_jumper") == outcome


# --- piping ------------------------------------------------------------------------------------------------------
BOND = {"water_pipe": "yes", "water_bonded": "yes", "water_bond_size": "4", "water_bond_metal": "copper"}


@pytest.mark.parametrize(
    ("electrodes", "facts", "outcome"),
    [
        ([ROD], {"water_pipe": "no"}, ["NOT_APPLICABLE none"]),
        ([ROD], BOND, ["MEETS meets"]),  # no electrode: the pipe may be bonded anywhere that can be reached
        ([ROD], {**BOND, "water_bond_ft": 30}, ["MEETS meets"]),
        ([ROD], {**BOND, "water_bond_size": "6"}, ["FAILS fails"]),
        ([ROD], {"water_pipe": "yes", "water_bonded": "no"}, ["FAILS loose"]),
        ([WATER], {**BOND, "water_bond_ft": 5, "water_meter_jumped": "yes"},
         ["MEETS meets", "MEETS place_meets", "MEETS meter_meets"]),
        ([WATER], {**BOND, "water_bond_ft": 6, "water_meter_jumped": "no"},
         ["MEETS meets", "FAILS place_fails", "FAILS meter_fails"]),
        ([WATER], BOND, ["MEETS meets", "CANNOT_TELL place_cannot_tell", "CANNOT_TELL meter_cannot_tell"]),
    ],
)  # fmt: skip
def test_water_piping(electrodes: list[dict[str, Any]], facts: dict[str, Any], outcome: list[str]) -> None:
    assert told(grounding(*electrodes, **facts), "grounding.water") == outcome


def test_whether_a_far_connection_matters_waits_for_the_list_of_electrodes() -> None:
    found = told(grounding(ROD, complete="unknown", **BOND, water_bond_ft=30), "grounding.water")
    assert found == ["MEETS meets", "CANNOT_TELL place_cannot_tell"]


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_bond_of_a_very_large_service_by_edition(edition: str) -> None:
    """From memory: 2017 names the other table without a cap at 3/0; the other editions stop there. 4 x 750 copper."""
    part = service("750", "copper", 4, grounding={**BOND, "water_bond_size": "3/0"})
    found = told(facts_from({"service": part}, edition, set_=TOUCH), "grounding.water")
    assert found[0] == ("FAILS fails" if edition == "2017" else "MEETS meets")


@pytest.mark.parametrize(
    ("pipe", "bonded", "outcome"),
    [("no", "unknown", "NOT_APPLICABLE"), ("unknown", "yes", "CANNOT_TELL"), ("yes", "yes", "MEETS"),
     ("yes", "no", "FAILS"), ("yes", "unknown", "CANNOT_TELL")],
)  # fmt: skip
def test_gas_piping(pipe: str, bonded: str, outcome: str) -> None:
    assert told(grounding(ROD, gas_pipe=pipe, gas_bonded=bonded), "grounding.gas")[0].startswith(outcome)


@pytest.mark.parametrize(
    ("facts", "outcome"),
    [
        ({"structural_metal": "no"}, []), ({"structural_metal": "yes", "structural_bonded": "no"}, ["FAILS loose"]),
        ({"structural_metal": "yes", "structural_bonded": "yes", "structural_bond_size": "4"}, ["MEETS meets"]),
        ({"structural_metal": "yes", "structural_bonded": "yes", "structural_bond_size": "8"}, ["FAILS fails"]),
        ({"structural_metal": "yes", "structural_bonded": "yes"}, ["CANNOT_TELL cannot_tell"]),
    ],
)  # fmt: skip
def test_structural_metal(facts: dict[str, Any], outcome: list[str]) -> None:
    assert told(grounding(ROD, **facts), "grounding.structural_metal") == outcome


@pytest.mark.parametrize(
    ("facts", "outcome"),
    [
        ({}, "CANNOT_TELL open"), ({"intersystem": "no"}, "FAILS none"), ({"intersystem": "yes"}, "CANNOT_TELL open"),
        ({"intersystem": "yes", "intersystem_terminals": 2}, "FAILS few"),
        ({"intersystem": "yes", "intersystem_terminals": 3}, "MEETS met"),
    ],
)  # fmt: skip
def test_the_intersystem_termination(facts: dict[str, Any], outcome: str) -> None:
    assert told(grounding(ROD, **facts), "grounding.intersystem") == [outcome]
    if facts.get("intersystem") == "no":
        assert told(grounding(ROD, touch=False, **facts), "grounding.intersystem") == []


# --- four wires --------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("feeder", "outcome"),
    [
        ({}, ["CANNOT_TELL cannot_tell"]), ({"ground": "none"}, ["FAILS fails_behind"]),
        ({"ground": "wire"}, ["CANNOT_TELL size_open"]), ({"ground": "raceway"}, ["MEETS meets"]),
        ({"ground": "raceway", "raceway": "r-aa"}, ["FAILS fails_behind"]),  # of plastic
        ({"ground_size": "6", "metal": "copper"}, ["MEETS meets"]),  # hand: Table 250.122, 200 A: 6 copper, 4 aluminum
        ({"ground_size": "6", "metal": "aluminum"}, ["FAILS small"]),
        ({"ground_size": "8", "metal": "copper"}, ["FAILS small"]),
    ],
)  # fmt: skip
def test_a_panel_behind_an_outside_service_disconnect_takes_four_wires(
    feeder: dict[str, Any], outcome: list[str]
) -> None:
    before = {
        "panels": [{"id": "p-aa", "fed_by": "service", "feeder": feeder, "neutral_joined": "no"}],
        "raceways": [{"id": "r-aa", "kind": "PVC40"}],
    }
    outside = {"present": "yes", "marked": "service disconnect", "neutral_joined": "yes", "rating_a": 200}
    facts = facts_from(before, set_={"service": {"outside": outside}})
    assert told(facts, "grounding.feeder_ground", "p-aa") == outcome
    meter = {**outside, "marked": "meter disconnect"}
    facts = facts_from(before, set_={"service": {"outside": meter}})
    assert told(facts, "grounding.feeder_ground", "p-aa") == []


def test_an_old_feeder_panel_without_a_ground_is_a_danger() -> None:
    panels = [{"id": "p-aa", "fed_by": "service"}, {"id": "p-bb", "fed_by": "b-bb", "feeder": {"ground": "none"}}]
    facts = facts_from({"panels": panels, "breakers": [{"id": "b-bb", "panel": "p-aa", "role": "feeder"}]})
    found = [c for c in checks_of(facts, "grounding_feeder_ground") if c.thing == "p-bb"]
    assert [(c.outcome, c.severity) for c in found] == [(Outcome.FAILS, Severity.DANGER)]


OLD = {"type": "SEU", "size": "8", "metal": "aluminum", "conductors": 2, "ground": "none"}
THREE = {"type": "NM", "size": "10", "metal": "copper", "conductors": 3, "ground": "none"}
GOES = {"service disconnect": "feeder", None: "service"}


def range_in(cable: dict[str, Any], marked: str | None, edition: str, new: bool = False) -> list[str]:
    outside = {"present": "yes", "marked": marked} if marked else {"present": "no"}
    circuit = {"id": "c-aa", "breaker": "b-aa", "cable": cable}
    before: dict[str, Any] = {
        "panels": [{"id": "p-aa", "fed_by": "service"}],
        "breakers": [{"id": "b-aa", "panel": "p-aa", "rating_a": 40, "poles": 2}],
        "circuits": [] if new else [circuit], "loads": [{"id": "l-aa", "kind": "range", "circuit": "c-aa"}],
    }  # fmt: skip
    facts = facts_from(
        before, edition, set_={"service": {"outside": outside}}, add={"circuits": [circuit]} if new else None
    )
    return told(facts, "grounding.three_wire_appliance", "c-aa")


@pytest.mark.parametrize(
    ("cable", "marked", "edition", "outcome"),
    [
        (OLD, None, "2020", "MEETS bare_from_service"),
        (OLD, "meter disconnect", "2020", "MEETS bare_from_service"),  # the panel stays service equipment
        (OLD, "service disconnect", "2020", "FAILS feeder"),
        (OLD, "service disconnect", "2023", "CANNOT_TELL open"),  # from memory: may be covered inside the panel
        ({**OLD, "neutral_covered": True}, "service disconnect", "2023", "MEETS covered"),
        ({**OLD, "neutral_covered": True}, "service disconnect", "2020", "FAILS feeder"),
        ({**OLD, "neutral_covered": False}, "service disconnect", "2023", "FAILS feeder_covered"),
        (THREE, "service disconnect", "2020", "MEETS insulated"),
        ({**THREE, "size": "12"}, None, "2020", "FAILS small"),
        ({**OLD, "size": "10"}, None, "2020", "FAILS small"),
        ({**OLD, "type": "NM"}, None, "2020", "FAILS bare"),
        ({"ground": "wire"}, "service disconnect", "2020", "MEETS grounded"),
        ({"type": "SEU"}, "service disconnect", "2020", "CANNOT_TELL open"),
    ],
)
def test_a_range_grounded_by_its_neutral(cable: dict[str, Any], marked: str | None, edition: str, outcome: str) -> None:
    assert range_in(cable, marked, edition) == [outcome]


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_new_range_circuit_brings_a_ground(edition: str) -> None:
    assert range_in(THREE, None, edition, new=True) == ["FAILS new"]


@pytest.mark.parametrize(("conductors", "outcome"), [(2, []), (3, ["MEETS grounded"]),
                                                     (None, ["CANNOT_TELL neutral_open"])])  # fmt: skip
def test_a_new_range_circuit_without_a_neutral_does_not_meet(conductors: int | None, outcome: list[str]) -> None:
    cable = {"type": "NM", "size": "8", "metal": "copper", "ground": "wire"}
    assert range_in(cable | ({} if conductors is None else {"conductors": conductors}), None, "2023", True) == outcome


def test_a_bare_neutral_is_a_danger_where_the_work_makes_its_panel_a_feeder_panel() -> None:
    before = {
        "panels": [{"id": "p-aa", "fed_by": "service"}],
        "breakers": [{"id": "b-aa", "panel": "p-aa", "rating_a": 40, "poles": 2}],
        "circuits": [{"id": "c-aa", "breaker": "b-aa", "cable": OLD}],
        "loads": [{"id": "l-aa", "kind": "range", "circuit": "c-aa"}],
    }
    outside = {"present": "yes", "marked": "service disconnect"}
    made = facts_from(before, "2020", set_={"service": {"outside": outside}})
    found = facts_from({**before, "service": {"outside": outside}}, "2020")
    bad = [[check.severity for check in checks_of(each, "grounding_three_wire_appliance")] for each in (made, found)]
    assert bad == [[Severity.DANGER], [Severity.CORRECT]]
