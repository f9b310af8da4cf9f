"""Disconnects, surge device, room to work, drop, separate structures: by hand, by edition, by what is touched."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.codebook import EDITIONS, open_book
from deadfront.codebook.amendments import Amendment
from deadfront.worksheet.check import Severity
from tests.circuits.service.houses import NEW_EQUIPMENT, checks_of, facts_from, service, told

PANEL = {"id": "p-aa", "fed_by": "service", "location": "basement"}
OUTSIDE = {"present": "yes", "marked": "service disconnect", "readily_accessible": True, "within_sight": True,
           "sccr_ka": 22}  # fmt: skip
LETTER = {"fault_current_ka": 9.4, "fault_at": "service"}
ID = "service.emergency_disconnect"


def house(outside: dict[str, Any] | None = None, panel: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    return {"service": service(outside=outside or {}, utility=LETTER, **more), "panels": [{**PANEL, **(panel or {})}]}


# --- emergency disconnect ----------------------------------------------------------------------------------------
def by_edition(before: dict[str, Any], set_: dict[str, Any] | None = None) -> list[str]:
    """Outcome in each of the five editions; "-" where nothing is asked."""
    found = [told(facts_from(before, edition, set_=set_ or NEW_EQUIPMENT), ID) for edition in EDITIONS]
    return [each[0].split()[0] if each else "-" for each in found]


@pytest.mark.parametrize(
    ("outside", "outcomes"),
    [
        # reference: none to 2017; 2020 one of three marked kinds; 2023 within sight; 2026 the service disconnect itself
        ({"present": "no"}, "- - FAILS FAILS FAILS"),
        ({}, "- - CANNOT_TELL CANNOT_TELL CANNOT_TELL"),
        (OUTSIDE, "- - MEETS MEETS MEETS"),
        ({**OUTSIDE, "marked": "meter disconnect"}, "- - MEETS MEETS FAILS"),
        ({**OUTSIDE, "marked": "not service equipment"}, "- - MEETS MEETS FAILS"),
        ({**OUTSIDE, "within_sight": False}, "- - MEETS FAILS FAILS"),
        ({**OUTSIDE, "readily_accessible": False}, "- - FAILS FAILS FAILS"),
        ({**OUTSIDE, "sccr_ka": 5}, "- - FAILS FAILS FAILS"),
    ],
)
def test_the_emergency_disconnect_by_edition(outside: dict[str, Any], outcomes: str) -> None:
    assert by_edition(house(outside)) == outcomes.split()


def test_a_service_panel_outdoors_is_the_emergency_disconnect() -> None:
    assert by_edition(house({"present": "no"}, {"location": "outdoors"})) == ["-", "-", "MEETS", "MEETS", "MEETS"]


def test_new_conductors_alone_ask_for_it_in_2020_only() -> None:
    """Reference: 2023 says that meter socket, service-entrance conductors, raceways, fittings are no trigger."""
    before = house({"present": "no"})
    assert by_edition(before, {"service": {"conductors": {"size": "4/0"}}}) == ["-", "-", "FAILS", "-", "-"]
    assert by_edition(before, {"service": {"utility": {"fault_current_ka": 10}}}) == ["-"] * 5


def test_it_is_not_asked_of_three_dwellings() -> None:
    units = [{"id": "u-aa", "count": 3}]
    facts = facts_from({**house({"present": "no"}), "units": units}, set_=NEW_EQUIPMENT)
    assert told(facts, ID) == []


def test_an_amendment_may_set_it_aside() -> None:
    by = Amendment("Marlow Falls", barred=("emergency_disconnect", "surge_protection"))
    book = open_book("2023", amendments=(by,))
    facts = facts_from(house({"present": "no"}, surge="none"), book=book, set_=NEW_EQUIPMENT)
    assert told(facts, ID) == ["NOT_APPLICABLE barred"]
    assert told(facts, "service.surge") == ["NOT_APPLICABLE barred"]


# --- surge -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("surge", "nominal", "outcomes"),
    [
        # reference: 2020 type 1 or 2; 2023 at least 10 kA; 2026 as 2023, from memory
        ("none", None, "- - FAILS FAILS FAILS"),
        ("type 3", 20, "- - FAILS FAILS FAILS"),
        ("type 2", None, "- - MEETS CANNOT_TELL CANNOT_TELL"),
        ("type 1", 10, "- - MEETS MEETS MEETS"),
        ("type 2", 5, "- - MEETS FAILS FAILS"),
        (None, None, "- - CANNOT_TELL CANNOT_TELL CANNOT_TELL"),
    ],
)
def test_the_surge_device_by_edition(surge: str | None, nominal: int | None, outcomes: str) -> None:
    facts = ({"surge": surge} if surge else {}) | ({"surge_nominal_ka": nominal} if nominal else {})
    found = [told(facts_from(house(**facts), each, set_=NEW_EQUIPMENT), "service.surge") for each in EDITIONS]
    assert [each[0].split()[0] if each else "-" for each in found] == outcomes.split()
    assert told(facts_from(house(surge="none")), "service.surge") == []  # an old service is left alone


# --- disconnects -------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("count", "apart", "outcomes"),
    [
        (None, None, "MEETS MEETS MEETS MEETS MEETS"),
        (6, None, "MEETS MEETS CANNOT_TELL CANNOT_TELL CANNOT_TELL"),  # 2020: no longer in one enclosure
        (6, False, "MEETS MEETS FAILS FAILS FAILS"),
        (6, True, "MEETS MEETS MEETS MEETS MEETS"),
        (7, True, "FAILS FAILS FAILS FAILS FAILS"),
        (0, None, "FAILS FAILS FAILS FAILS FAILS"),
    ],
)
def test_how_many_service_disconnects(count: int | None, apart: bool | None, outcomes: str) -> None:
    facts = ({} if count is None else {"disconnects": count}) | ({} if apart is None else {"disconnects_apart": apart})
    found = [told(facts_from(house(**facts), each, set_=NEW_EQUIPMENT), "service.disconnects") for each in EDITIONS]
    assert [each[0].split()[0] for each in found] == outcomes.split()


def test_an_old_split_bus_is_left_alone_until_it_is_replaced() -> None:
    assert told(facts_from(house(disconnects=6, disconnects_apart=False)), "service.disconnects") == []
    assert told(facts_from(house(disconnects=7)), "service.disconnects") == ["FAILS many"]


@pytest.mark.parametrize(
    ("outside", "panel", "nearest", "outcome"),
    [
        ({}, {}, "yes", "MEETS met"), ({}, {}, "no", "FAILS far"), ({}, {}, "unknown", "CANNOT_TELL open"),
        ({}, {"location": "bathroom"}, "yes", "FAILS bathroom"), (OUTSIDE, {"location": "bathroom"}, "no", "MEETS met"),
        ({**OUTSIDE, "readily_accessible": False}, {}, "yes", "FAILS not_reached"),
    ],
)  # fmt: skip
def test_where_the_service_disconnect_is(
    outside: dict[str, Any], panel: dict[str, Any], nearest: str, outcome: str
) -> None:
    facts = facts_from(house(outside, panel, nearest_entrance=nearest), set_=NEW_EQUIPMENT)
    assert told(facts, "service.disconnect_place") == [outcome]


# --- sizes -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("size", "metal", "sets", "outcome"),
    [("4", "copper", None, "MEETS"), ("6", "copper", None, "FAILS"), ("2", "aluminum", None, "MEETS"),
     ("4", "aluminum", None, "FAILS")],
)  # fmt: skip
def test_least_service_conductors(size: str, metal: str, sets: int | None, outcome: str) -> None:
    """Published: Table 310.12 begins with 4 copper and 2 aluminum for 100 A."""
    facts = facts_from({"service": service(size, metal, sets)}, set_={"service": {"conductors": {"kind": "SE"}}})
    assert told(facts, "service.minimum_size")[0].startswith(outcome)


def test_least_drop() -> None:
    """From memory: 8 copper, 6 aluminum."""
    for size, metal, outcome in (("8", "copper", "MEETS"), ("10", "copper", "FAILS"), ("8", "aluminum", "FAILS")):
        facts = facts_from({"service": service(drop={"size": size, "metal": metal})}, set_={"service": {"drop": {}}})
        assert told(facts, "service.minimum_size")[-1].startswith(outcome)


# --- room to work ------------------------------------------------------------------------------------------------
def panel_facts(existing: bool = True, new: bool = True, **facts: Any) -> Any:
    panel = {"id": "p-bb", "fed_by": "service", **facts}
    if new:
        return facts_from({}, add={"panels": [panel]}, existing=existing)
    return facts_from({"panels": [panel]}, existing=existing)


@pytest.mark.parametrize(
    ("facts", "outcomes"),
    [
        ({"working_width_in": 30, "working_depth_in": 36, "headroom_in": 78}, "MEETS MEETS MEETS"),
        ({"working_width_in": 29.9, "working_depth_in": 35, "headroom_in": 77, "bus_a": 225}, "FAILS FAILS FAILS"),
        (
            {"working_width_in": 30, "working_depth_in": 36, "headroom_in": 70, "bus_a": 200},
            "MEETS MEETS NOT_APPLICABLE",
        ),
        ({"headroom_in": 70}, "CANNOT_TELL CANNOT_TELL CANNOT_TELL"),
    ],
)
def test_working_space(facts: dict[str, Any], outcomes: str) -> None:
    """Reference: 30 x 36 x 78 in; from memory: an existing dwelling's panel up to 200 A may have less headroom."""
    found = told(panel_facts(**facts), "service.working_space", "p-bb")
    assert [each.split()[0] for each in found] == outcomes.split()


def test_a_new_dwelling_has_the_headroom() -> None:
    found = told(panel_facts(existing=False, headroom_in=70, bus_a=100), "service.working_space", "p-bb")
    assert found[2] == "FAILS headroom_fails"


def test_an_old_panel_in_a_tight_place_is_left_alone() -> None:
    old = panel_facts(new=False, working_width_in=20, working_depth_in=20, headroom_in=60, highest_handle_in=90)
    assert checks_of(old, "service_space") == []


@pytest.mark.parametrize(("height", "outcome"), [(79, "MEETS"), (79.5, "FAILS"), (None, "CANNOT_TELL")])
def test_height_of_the_handles(height: float | None, outcome: str) -> None:
    facts = {} if height is None else {"highest_handle_in": height}
    assert told(panel_facts(**facts), "service.handle_height", "p-bb")[0].startswith(outcome)


@pytest.mark.parametrize(
    ("location", "outcome"),
    [("bathroom", "FAILS bathroom"), ("clothes closet", "FAILS closet"), ("over steps", "FAILS steps"),
     ("basement", "MEETS met")],
)  # fmt: skip
def test_rooms(location: str, outcome: str) -> None:
    assert told(panel_facts(location=location), "service.location", "p-bb") == [outcome]
    old = [
        c for c in checks_of(panel_facts(new=False, location=location), "service_space") if c.id == "service.location"
    ]
    assert [c.severity for c in old if c.is_finding] == ([] if outcome == "MEETS met" else [Severity.NOTE])


# --- drop --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("drop", "outcomes"),
    [
        ({"above_grade_ft": 10, "above_driveway_ft": 12}, ["MEETS grade_meets", "MEETS driveway_meets"]),
        ({"above_grade_ft": 9.9, "above_driveway_ft": 11}, ["FAILS grade_fails", "FAILS driveway_fails"]),
        ({"above_roof_ft": 8}, ["MEETS roof_meets"]),
        ({"above_roof_ft": 4}, ["CANNOT_TELL roof_cannot_tell"]),
        ({"above_roof_ft": 4, "roof_slope_in": 4}, ["MEETS roof_meets"]),
        ({"above_roof_ft": 4, "roof_slope_in": 3, "over_overhang_only": False}, ["FAILS roof_fails"]),
        ({"above_roof_ft": 2, "roof_slope_in": 6}, ["CANNOT_TELL roof_cannot_tell"]),
        ({"above_roof_ft": 2, "over_overhang_only": True}, ["MEETS roof_meets"]),
        ({"above_roof_ft": 1, "roof_slope_in": 6, "over_overhang_only": True}, ["FAILS roof_fails"]),
        ({"from_window_ft": 3}, ["MEETS window_meets"]),
        ({"from_window_ft": 2}, ["CANNOT_TELL window_cannot_tell"]),
        ({"from_window_ft": 2, "above_window": True}, ["MEETS window_meets"]),
        ({"from_window_ft": 2, "above_window": False}, ["FAILS window_fails"]),
        ({"overhead": False, "above_grade_ft": 1}, []),
        ({}, []),
    ],
)
def test_clearance_of_the_drop(drop: dict[str, Any], outcomes: list[str]) -> None:
    """From memory: 10, 12, 8, 3 ft and 18 in over roofs, 3 ft from windows."""
    facts = facts_from({"service": service(drop=drop)}, set_={"service": {"drop": {}}})
    assert told(facts, "service.drop_clearance") == outcomes


def test_a_low_drop_is_told_in_an_old_house_too() -> None:
    assert told(facts_from({"service": service(drop={"above_grade_ft": 7})}), "service.drop_clearance") == [
        "FAILS grade_fails"
    ]
    for used, outcome in ((True, ["FAILS other"]), (False, ["MEETS met"]), (None, [])):
        drop = {} if used is None else {"mast_used_for_other": used}
        assert told(facts_from({"service": service(drop=drop)}), "service.mast") == outcome


# --- separate structures -----------------------------------------------------------------------------------------
def structure(new: bool = True, edition: str = "2023", circuits: int = 0, **facts: Any) -> Any:
    thing = {"id": "s-aa", "fed_by": "b-bb", **facts}
    feeder = {"size": "6", "metal": "copper", "ground_size": thing.pop("ground_size", "10")}
    panels = [PANEL, {"id": "p-bb", "fed_by": "b-bb", "structure": "s-aa", "feeder": feeder}]
    ahead = {"id": "b-bb", "panel": "p-aa", "role": "feeder", "rating_a": 60, "poles": 2, "protection": "plain"}
    electrodes = thing.pop("electrodes", [])
    before: dict[str, Any] = {
        "panels": panels, "electrodes": electrodes, "complete": {"electrodes": "yes", "circuits": "yes"},
        "breakers": [ahead, *({"id": f"b-c{n}", "panel": "p-bb", "rating_a": 20, "poles": 1} for n in range(circuits))],
        "circuits": [{"id": f"c-c{n}", "breaker": f"b-c{n}"} for n in range(circuits)],
    }  # fmt: skip
    if new:
        return facts_from(before, edition, add={"structures": [thing]})
    return facts_from({**before, "structures": [thing]}, edition)


def one(facts: Any, ident: str) -> list[str]:
    return told(facts, f"structure.{ident}", "s-aa")


@pytest.mark.parametrize(
    ("facts", "circuits", "outcome"),
    [
        ({"supply": "branch circuit", "disconnect_a": 15}, 0, "MEETS"),
        ({"supply": "multiwire branch circuit", "disconnect_a": 20}, 0, "MEETS"),
        ({"supply": "branch circuit", "supplies": 2, "disconnect_a": 20}, 0, "FAILS"),  # two circuits: 30 A
        ({"supply": "feeder", "dwelling": False, "disconnect_a": 60}, 3, "MEETS"),
        ({"supply": "feeder", "dwelling": False, "disconnect_a": 50}, 3, "FAILS"),
        ({"supply": "feeder", "dwelling": False, "disconnect_a": 30}, 2, "MEETS"),
        ({"supply": "feeder", "dwelling": True, "disconnect_a": 60}, 3, "FAILS"),  # a dwelling: 100 A
        ({"supply": "feeder", "dwelling": True, "disconnect_a": 100}, 3, "MEETS"),
        ({"supply": "feeder", "disconnect_a": 60}, 3, "CANNOT_TELL"),  # a dwelling or not
        ({"supply": "feeder", "disconnect_a": 50}, 3, "FAILS"),  # too small either way
        ({"supply": "feeder", "dwelling": False}, 3, "CANNOT_TELL"),
    ],
)
def test_rating_of_its_disconnect(facts: dict[str, Any], circuits: int, outcome: str) -> None:
    """Reference: 60 and 100 A; from memory: 15 and 30 A."""
    found = one(structure(circuits=circuits, disconnects=1, **facts), "disconnect")
    assert found[0] == "MEETS count_met" and found[1].startswith(outcome)


def test_count_of_disconnects_and_supplies() -> None:
    found = {count: one(structure(disconnects=count), "disconnect")[0] for count in (0, 1, 6, 7)}
    assert found == {0: "FAILS none", 1: "MEETS count_met", 6: "MEETS count_met", 7: "FAILS many"}
    assert one(structure(), "supplies") == ["MEETS met"]
    for allowed, outcome in ((None, "CANNOT_TELL open"), (True, "MEETS allowed"), (False, "FAILS several")):
        facts = {} if allowed is None else {"supplies_allowed": allowed}
        assert one(structure(supplies=2, **facts), "supplies") == [outcome]


@pytest.mark.parametrize(
    ("new", "facts", "outcome"),
    [
        (True, {"grounding_conductor": True}, ["MEETS met"]),
        (True, {"grounding_conductor": True, "ground_size": "12"}, ["FAILS small"]),  # 10 copper behind 60 A
        (True, {"grounding_conductor": False}, ["FAILS new"]),
        (True, {}, ["CANNOT_TELL open"]),
        (False, {"existing_three_wire": True, "parallel_metal": "no", "neutral_joined": "yes"}, ["MEETS old_feeder"]),
        (False, {"existing_three_wire": True, "parallel_metal": "yes", "neutral_joined": "yes"}, ["FAILS parallel"]),
        (False, {"grounding_conductor": False, "supply": "branch circuit", "neutral_joined": "no"}, ["MEETS old"]),
        (
            False,
            {"existing_three_wire": True, "parallel_metal": "no", "neutral_joined": "no", "supply": "feeder"},
            ["FAILS no_path"],
        ),
        (False, {"existing_three_wire": True}, ["CANNOT_TELL old_open"]),
    ],
)
def test_its_grounding_conductor(new: bool, facts: dict[str, Any], outcome: list[str]) -> None:
    assert one(structure(new=new, **facts), "grounding_conductor") == outcome


def test_its_electrode() -> None:
    """250.32(A): none for one branch circuit with a ground, a multiwire one too."""
    rod = [{"id": "e-aa", "kind": "rod", "structure": "s-aa"}]
    assert one(structure(supply="feeder"), "electrode") == ["FAILS none"]
    assert one(structure(supply="feeder", electrodes=rod), "electrode") == ["MEETS met"]
    for supply in ("branch circuit", "multiwire branch circuit"):
        assert one(structure(supply=supply, grounding_conductor=True), "electrode") == ["NOT_APPLICABLE branch"]
        assert one(structure(supply=supply, grounding_conductor=False), "electrode") == ["FAILS none"]
        assert one(structure(supply=supply), "electrode") == ["CANNOT_TELL open"]


def test_a_dwelling_on_a_feeder_has_an_emergency_disconnect_from_2023() -> None:
    def found(**facts: Any) -> str:
        told_ = [one(structure(edition=each, supply="feeder", **facts), "emergency_disconnect") for each in EDITIONS]
        return " ".join(each[0].split()[0] if each else "-" for each in told_)

    assert found(dwelling=True, disconnect_outdoors=False) == "- - - FAILS FAILS"
    assert found(dwelling=True, disconnect_outdoors=True) == "- - - MEETS MEETS"
    assert found() == "- - - CANNOT_TELL CANNOT_TELL"
    assert found(dwelling=False) == "- - - - -"
