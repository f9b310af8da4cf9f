"""Gear in panels and smoke alarms: facts of listing and instructions as entered; what nothing may open.

312.8: a guide of 2017 that quotes it (P32, P33); leads from memory; what is kept closed is common practice.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.protection.houses import BREAKER, PANEL, found, job, new_circuit, outcome

GEAR = {"id": "g-aa1", "kind": "metering", "panel": "p-aa1"}


def with_gear(panel: dict[str, Any] | None = None, edition: str = "2023", **gear: Any) -> dict[str, Any]:
    """New gear in the panel, on a new circuit of its own."""
    circuit = gear.pop("circuit_facts", {})
    add = new_circuit({}, circuit, gear=[GEAR | gear], **gear.pop("more", {}))
    return job(edition, {"panels": [PANEL | (panel or {})]}, add)


@pytest.mark.parametrize(
    ("listed", "for_panel", "wanted"),
    [
        (True, True, "MEETS"),
        (True, False, "FAILS"),
        (False, True, "FAILS"),
        (False, None, "FAILS"),
        (True, None, "CANNOT_TELL"),
        (None, None, "CANNOT_TELL"),
    ],
)
def test_listing(listed: bool | None, for_panel: bool | None, wanted: str) -> None:
    data = with_gear(listed=listed, listed_for_panel=for_panel)
    assert outcome(data, "gear.listing", "g-aa1") == wanted
    old = job("2023", {"panels": [PANEL], "gear": [GEAR | {"listed": listed, "listed_for_panel": for_panel}]})
    assert outcome(old, "gear.listing", "g-aa1") == ("FAILS" if wanted == "FAILS" else "none")


def test_monitoring_equipment_by_name_from_2017() -> None:
    for edition, sections in (("2014", 1), ("2017", 2), ("2020", 2), ("2023", 2), ("2026", 2)):
        assert len(found(with_gear(edition=edition, listed=True), "gear.listing")[0].cites) == sections


@pytest.mark.parametrize(
    ("gear", "circuit", "wanted"),
    [
        ({"own_circuit_needed": True, "circuit": "c-aa1", "supply_a": 20}, {"purpose": "individual"}, "MEETS"),
        ({"own_circuit_needed": True, "circuit": "c-aa1", "supply_a": 15}, {"purpose": "individual"}, "FAILS"),
        ({"own_circuit_needed": True, "circuit": "c-aa1", "supply_a": 20}, {"purpose": "general"}, "FAILS"),
        ({"own_circuit_needed": True, "circuit": "c-aa1", "supply_a": 20}, {}, "CANNOT_TELL"),
        ({"own_circuit_needed": False, "circuit": "c-aa1", "supply_a": 20}, {}, "MEETS"),
        ({"own_circuit_needed": False}, {}, "NOT_APPLICABLE"),
        ({"own_circuit_needed": True}, {}, "CANNOT_TELL"),
        ({}, {}, "CANNOT_TELL"),
    ],
)
def test_supply(gear: dict[str, Any], circuit: dict[str, Any], wanted: str) -> None:
    assert outcome(with_gear(circuit_facts=circuit, **gear), "gear.supply", "g-aa1") == wanted


@pytest.mark.parametrize(
    ("on", "allowed", "wanted"),
    [(True, False, "FAILS"), (True, True, "MEETS"), (False, None, "MEETS"), (None, False, "CANNOT_TELL"),
     (True, None, "CANNOT_TELL")],
)  # fmt: skip
def test_portable_generator(on: bool | None, allowed: bool | None, wanted: str) -> None:
    data = with_gear(on_portable_generator=on, portable_generator_allowed=allowed)
    data["before"]["sources"] = [{"id": "s-aa1", "kind": "inlet"}]
    assert outcome(data, "gear.portable_generator", "g-aa1") == wanted


def test_no_source_listed_asks_whether_there_is_one() -> None:
    assert found(with_gear(), "gear.portable_generator")[0].severity.name == "NOTE"
    data = with_gear()
    data["before"]["complete"] = {"sources": "yes"}
    assert found(data, "gear.portable_generator") == []


@pytest.mark.parametrize(
    ("gear", "kind", "wanted"),
    [
        ({"may_not_serve": ["space_heat"], "instructions_read": True}, "space_heat", "FAILS"),
        ({"may_not_serve": ["space_heat"], "instructions_read": True}, "dryer", "MEETS"),
        ({"instructions_read": True}, "dryer", "MEETS"),
        ({}, "dryer", "CANNOT_TELL"),
        ({"may_not_serve": ["space_heat"], "instructions_read": True}, None, "CANNOT_TELL"),
    ],
)
def test_loads_it_may_not_serve(gear: dict[str, Any], kind: str | None, wanted: str) -> None:
    data = with_gear(serves=["c-aa1"], **gear)
    if kind:
        data["work"][0]["add"]["loads"] = [{"id": "l-aa1", "kind": kind, "circuit": "c-aa1"}]
    assert outcome(data, "gear.may_not_serve", "g-aa1") == wanted


def test_its_own_supply_and_a_sewage_ejector_are_never_opened() -> None:
    data = with_gear(kind="controllable breakers", circuit="c-aa1", serves=["c-aa1"])
    assert outcome(data, "gear.never_opened") == "FAILS"
    assert outcome(with_gear(kind="metering", circuit="c-aa1", serves=["c-aa1"]), "gear.never_opened") == "none"
    data = with_gear(kind="controller", serves=["c-aa1"])
    assert outcome(data, "gear.never_opened") == "none"
    data["work"][0]["add"]["loads"] = [{"id": "l-aa1", "kind": "sewage_ejector", "circuit": "c-aa1"}]
    assert outcome(data, "gear.never_opened") == "FAILS"


@pytest.mark.parametrize("edition", ["2014", "2017", "2020", "2023", "2026"])
@pytest.mark.parametrize(
    ("panel", "wanted"),
    [
        ({"splices_percent": 75, "feed_through_labeled": True}, "MEETS"),  # 75 percent exactly is allowed
        ({"splices_percent": 75.1, "feed_through_labeled": True}, "FAILS"),
        ({"fill_percent": 40, "splices_percent": 60, "feed_through_labeled": True}, "MEETS"),
        ({"fill_percent": 40.1, "splices_percent": 60, "feed_through_labeled": True}, "FAILS"),
        ({"splices_percent": 50, "feed_through_labeled": False}, "FAILS"),
        ({"splices_percent": 50}, "CANNOT_TELL"),
        ({}, "CANNOT_TELL"),
    ],
)
def test_wiring_space(edition: str, panel: dict[str, Any], wanted: str) -> None:
    assert outcome(with_gear(panel, edition), "gear.wiring_space", "p-aa1") == wanted
    assert found(job(edition, {"panels": [PANEL | panel]}), "gear.wiring_space") == []


@pytest.mark.parametrize(
    ("gear", "wanted"),
    [
        ({"leads_insulation_v": 600, "class_two": False}, "MEETS"),
        ({"leads_insulation_v": 240, "class_two": False}, "MEETS"),
        ({"leads_insulation_v": 150, "class_two": False}, "FAILS"),
        ({"leads_insulation_v": 300, "class_two": True, "listed_for_panel": True}, "MEETS"),
        ({"leads_insulation_v": 300, "class_two": True, "listed_for_panel": False}, "FAILS"),
        ({"leads_insulation_v": 300, "class_two": True}, "CANNOT_TELL"),
        ({}, "CANNOT_TELL"),
    ],
)
def test_leads(gear: dict[str, Any], wanted: str) -> None:
    assert outcome(with_gear(**gear), "gear.leads", "g-aa1") == wanted


SMOKE = "protection.smoke_alarms"


def alarms(kinds: list[str], breaker: dict[str, Any] | None = None, **before: Any) -> dict[str, Any]:
    """An old house with one circuit."""
    circuit = {"id": "c-aa1", "breaker": "b-aa1", "outlet_kinds": kinds}
    house = {"panels": [PANEL], "breakers": [BREAKER | (breaker or {})], "circuits": [circuit], **before}
    return job("2023", house)


def test_the_circuit_of_the_alarms() -> None:
    assert outcome(alarms(["lighting", "smoke alarms"]), SMOKE) == "MEETS"
    assert outcome(alarms(["smoke alarms"], {"controllable": True}), SMOKE) == "FAILS"
    assert outcome(alarms(["smoke alarms"], energy_management=[{"id": "m-aa1", "controls": ["c-aa1"]}]), SMOKE) == (
        "FAILS"
    )
    opens = GEAR | {"kind": "controller", "serves": ["c-aa1"]}
    assert outcome(alarms(["smoke alarms"], gear=[opens]), SMOKE) == "FAILS"
    assert outcome(alarms(["smoke alarms"], gear=[opens | {"remote_opening": False}]), SMOKE) == "MEETS"
    assert found(alarms(["smoke alarms"], {"controllable": True}), SMOKE)[0].severity.name == "DANGER"


def test_alarms_not_known_bar_a_signature_only_where_something_opens_circuits() -> None:
    assert found(alarms(["lighting"]), SMOKE)[0].severity.name == "NOTE"
    check = found(alarms(["lighting"], {"controllable": True}), SMOKE)[0]
    assert (check.outcome.name, check.severity.name) == ("CANNOT_TELL", "CORRECT")
    assert found(alarms(["lighting"], service={"smoke_alarms": "battery alone"}), SMOKE) == []
    waits = found(alarms(["lighting"], service={"smoke_alarms": "on a circuit"}), SMOKE)[0]
    assert waits.missing[0].path == "before/complete.circuits"
