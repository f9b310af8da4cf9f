"""Outdoor equipment with its dates, appliances, vehicle charging; tables by hand from the rules in the reference.

Sources: P7 (appliances), P8 to P10 (210.8(F)), P23 to P28 and G4 (charging); the 2026 appliance list is from memory.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.protection.houses import BREAKER, PANEL, found, job, new_circuit, outcome

EDITIONS = ("2014", "2017", "2020", "2023", "2026")
F, N, T, M, _ = "FAILS", "NOT_APPLICABLE", "CANNOT_TELL", "MEETS", "none"
TWO_POLE = {"poles": 2, "spaces": [1, 3], "protection": "plain"}


def load(kind: str, rooms: list[str], rating_a: int = 30, protection: str = "plain", **more: Any) -> dict[str, Any]:
    """What a step adds: one load on a new 240 V circuit."""
    circuit = more.pop("circuit_facts", {})
    return new_circuit(
        TWO_POLE | {"rating_a": rating_a, "protection": protection}, {"rooms": rooms, **circuit},
        loads=[{"id": "l-aa1", "kind": kind, "circuit": "c-aa1", **more}],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "rooms", "rating_a", "by_edition"),
    [
        ("pool_pump", ["outdoors"], 20, (_, _, F, F, F)),
        ("pool_pump", ["outdoors"], 50, (_, _, F, F, F)),
        ("spa", ["outdoors"], 60, (_, _, N, N, F)),  # 50 A; 60 A from 2026
        ("spa", ["outdoors"], 70, (_, _, N, N, N)),
        ("evse", ["garage"], 50, (_, _, _, F, F)),  # garages from 2023
        ("water_heater", ["garage"], 30, (_, _, _, F, F)),
        ("range", ["kitchen"], 50, (_, _, _, _, _)),
        ("pool_pump", [], 20, (_, _, T, T, T)),
        ("pool_pump", ["outdoors", "basement"], 20, (_, _, T, T, T)),
        ("water_heater", [], 30, (_, _, _, T, T)),
    ],
)
def test_hard_wired_equipment(kind: str, rooms: list[str], rating_a: int, by_edition: tuple[str, ...]) -> None:
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        data = job(edition, add=load(kind, rooms, rating_a))
        assert outcome(data, "protection.outdoor_equipment", "l-aa1") == wanted, edition
        data = job(edition, add=load(kind, rooms, rating_a, "ground fault"))
        kept = wanted if wanted in (N, _) else M
        assert outcome(data, "protection.outdoor_equipment", "l-aa1") == kept, edition


@pytest.mark.parametrize("kind", ["air_conditioner", "heat_pump"])
@pytest.mark.parametrize(
    ("permit_on", "listed", "by_edition"),
    [
        ("2026-08-31", True, (_, _, F, N, N)),  # one day before
        ("2026-09-01", True, (_, _, F, F, F)),  # the day itself
        ("2026-09-02", True, (_, _, F, F, F)),
        (None, True, (_, _, F, T, T)),  # both answers are said
        (None, False, (_, _, F, F, F)),
        ("2026-08-31", False, (_, _, F, F, F)),
        ("2026-08-31", None, (_, _, F, T, T)),
    ],
)
def test_heating_and_cooling_by_the_date_of_the_permit(
    kind: str, permit_on: str | None, listed: bool | None, by_edition: tuple[str, ...]
) -> None:
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        data = job(edition, add=load(kind, ["outdoors"], listed=listed), permit_on=permit_on)
        assert outcome(data, "protection.outdoor_equipment", "l-aa1") == wanted, edition
        if wanted == T:
            check = found(data, "protection.outdoor_equipment")[0]
            assert check.say.params["until"] == "2026-09-01"
            assert {m.path for m in check.missing} <= {"job.permit_on", "w-aa1/l-aa1.listed"}


def test_an_amendment_adopted_in_2020_sets_the_date() -> None:
    from deadfront.assess.run import context_of, facts_of
    from deadfront.circuits.rules.each.protection_outdoor import checks
    from deadfront.codebook import open_book
    from deadfront.codebook.amendments import amendment_from_dict
    from deadfront.job.model import Job
    from deadfront.loads.rules.answer import load_answer

    data = job("2020", add=load("air_conditioner", ["outdoors"], listed=True), permit_on="2023-05-01")
    made = Job.model_validate(data)
    amendment = amendment_from_dict(
        {"name": "Marlow Falls", "set": {"outdoor_climate_until": {"value": 20260901, "unit": ""}}}
    )
    context = context_of(made, open_book("2020", amendments=(amendment,)))
    facts = facts_of(context, load_answer(context, None), made.job.permit_on)
    assert [each.outcome.name for each in checks(facts)] == [N]


def replaced(edition: str, kind: str) -> dict[str, Any]:
    """A new condenser on the old circuit, the old one taken away."""
    before = {
        "panels": [PANEL],
        "breakers": [BREAKER | TWO_POLE | {"rating_a": 30}],
        "circuits": [{"id": "c-aa1", "breaker": "b-aa1", "rooms": ["outdoors"]}],
        "loads": [{"id": "l-old", "kind": kind, "circuit": "c-aa1"}],
    }
    add = {"loads": [{"id": "l-aa1", "kind": kind, "circuit": "c-aa1"}]}
    return job(edition, before, add, remove=["l-old"], permit_on="2026-10-01")


def test_equipment_replaced_is_reached_from_2023() -> None:
    found_by_edition = [outcome(replaced(e, "pool_pump"), "protection.outdoor_equipment", "l-aa1") for e in EDITIONS]
    assert found_by_edition == [_, _, _, F, F]


def test_old_equipment_is_left_alone() -> None:
    data = replaced("2023", "air_conditioner")
    data["work"] = []
    assert found(data, "protection.outdoor_equipment") == []


@pytest.mark.parametrize(
    ("kind", "rating_a", "by_edition"),
    [
        ("dishwasher", 20, (F, F, F, F, F)),
        ("sump_pump", 20, (_, _, F, F, F)),
        ("range", 50, (_, _, _, F, F)),
        ("oven", 40, (_, _, _, F, F)),
        ("cooktop", 40, (_, _, _, F, F)),
        ("dryer", 30, (_, _, _, F, F)),
        ("microwave", 20, (_, _, _, F, F)),
        ("range", 70, (_, _, _, N, N)),  # above 60 A
        ("water_heater", 30, (_, _, _, _, _)),
        ("disposal", 20, (_, _, _, _, _)),
    ],
)
def test_appliances(kind: str, rating_a: int, by_edition: tuple[str, ...]) -> None:
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        assert outcome(job(edition, add=load(kind, ["kitchen"], rating_a)), "protection.appliances", "l-aa1") == wanted
        kept = wanted if wanted in (N, _) else M
        data = job(edition, add=load(kind, ["kitchen"], rating_a, "both"))
        assert outcome(data, "protection.appliances", "l-aa1") == kept


def test_a_range_in_place_of_another_is_left_alone_and_a_dishwasher_is_not() -> None:
    assert outcome(replaced("2023", "range"), "protection.appliances", "l-aa1") == _
    assert outcome(replaced("2023", "dishwasher"), "protection.appliances", "l-aa1") == F


def test_an_appliance_whose_circuit_is_not_known() -> None:
    data = job("2023", add={"loads": [{"id": "l-aa1", "kind": "dishwasher"}]})
    made = found(data, "protection.appliances")
    assert [each.outcome.name for each in made] == [T]
    assert {m.path for m in made[0].missing} == {"w-aa1/l-aa1.circuit"}


@pytest.mark.parametrize(
    ("cord", "by_edition"),
    [(True, (_, F, F, F, F)), (False, (_, N, N, N, T)), (None, (_, T, T, T, T))],
)
def test_ground_fault_protection_for_charging(cord: bool | None, by_edition: tuple[str, ...]) -> None:
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        data = job(edition, add=load("evse", ["garage"], 50, cord_and_plug=cord))
        assert outcome(data, "protection.evse", "l-aa1") == wanted, edition


@pytest.mark.parametrize(
    ("nameplate_a", "volts", "circuit", "by_edition"),
    [
        (32, 240, {"purpose": "individual"}, (M, M, M, M, M)),
        (32, 240, {}, (T, T, T, T, T)),
        (32, 240, {"purpose": "garage"}, (F, F, F, F, F)),
        (12, 120, {"purpose": "garage"}, (F, F, F, N, N)),  # 2023: above 16 A or 120 V
        (16, 120, {"purpose": "garage"}, (F, F, F, N, N)),
        (16, 240, {"purpose": "garage"}, (F, F, F, F, F)),
    ],
)
def test_a_circuit_of_its_own(
    nameplate_a: int, volts: int, circuit: dict[str, Any], by_edition: tuple[str, ...]
) -> None:
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        add = load("evse", ["garage"], 50, nameplate_a=nameplate_a, volts=volts, circuit_facts=circuit)
        assert outcome(job(edition, add=add), "protection.evse_circuit", "l-aa1") == wanted, edition


def test_managed_chargers_may_share_from_2020() -> None:
    for edition, wanted in zip(EDITIONS, (F, F, M, M, M), strict=True):
        add = load("evse", ["garage"], 60, nameplate_a=48, volts=240, managed_by="m-aa1")
        add["loads"].append(add["loads"][0] | {"id": "l-aa2"})
        add["energy_management"] = [{"id": "m-aa1"}]
        assert outcome(job(edition, add=add), "protection.evse_circuit", "l-aa1") == wanted, edition


@pytest.mark.parametrize(
    ("nameplate_a", "cord", "by_edition"),
    [
        (48, False, (N, N, N, N, F)),
        (60, False, (N, N, N, N, F)),
        (80, False, (F, F, F, F, F)),
        (48, True, (N, N, N, N, N)),
        (None, False, (F, F, F, F, F)),  # no disconnect: it cannot be told before 2026, see below
    ],
)
def test_a_disconnect(nameplate_a: int | None, cord: bool, by_edition: tuple[str, ...]) -> None:
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        more = {} if nameplate_a is None else {"nameplate_a": nameplate_a}
        add = load("evse", ["garage"], 100, cord_and_plug=cord, charging_disconnect=False, **more)
        if nameplate_a is None and edition != "2026":
            wanted = T
        assert outcome(job(edition, add=add), "protection.evse_disconnect", "l-aa1") == wanted, edition


@pytest.mark.parametrize(
    ("rating_a", "breaker_a", "listed", "wanted"),
    [
        (50, 50, True, M),
        (50, 50, False, F),
        (50, 40, True, F),
        (30, 30, None, T),
        (20, 20, False, N),
        (None, 50, True, M),
    ],
)
def test_the_receptacle_for_charging_in_2026(
    rating_a: int | None, breaker_a: int, listed: bool | None, wanted: str
) -> None:
    add = load("evse", ["garage"], breaker_a, cord_and_plug=True)
    add["outlets"] = [{"id": "o-aa1", "circuit": "c-aa1", "kind": "receptacle", "room": "garage", "load": "l-aa1",
                       "rating_a": rating_a, "listed_for_charging": listed}]  # fmt: skip
    assert outcome(job("2026", add=add), "protection.evse_receptacle", "l-aa1") == wanted
    assert outcome(job("2023", add=add), "protection.evse_receptacle", "l-aa1") == _
