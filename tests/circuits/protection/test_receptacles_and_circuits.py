"""Replaced receptacles, required circuits, circuits of 10 A; by hand from the rules in the reference.

406.4(D): magazine articles on 2011 and a forum quote of 2014 (P22); 210.11(C): P17, P18, bathroom from memory.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.protection.houses import BREAKER, PANEL, found, job, new_circuit, outcome

EDITIONS = ("2014", "2017", "2020", "2023", "2026")
IDENT = "protection.replaced_receptacle"


def replaced(
    edition: str, room: str, breaker: str = "plain", ground: str | None = "wire", rooms: tuple[str, ...] = (),
    **outlet: Any,
) -> dict[str, Any]:  # fmt: skip
    """An old receptacle taken out and one put in its place, on an old circuit."""
    cable = {"ground": ground} if ground else {}
    before = {
        "panels": [PANEL],
        "breakers": [BREAKER | {"protection": breaker}],
        "circuits": [
            {"id": "c-aa1", "breaker": "b-aa1", "rooms": [room, *rooms], "first_outlet": "plain", "cable": cable}
        ],
        "outlets": [{"id": "o-old", "circuit": "c-aa1", "kind": "receptacle", "room": room}],
    }
    new = {"id": "o-aa1", "circuit": "c-aa1", "kind": "receptacle", "room": room, **outlet}
    return job(edition, before, {"outlets": [new]}, remove=["o-old"])


PLAIN = {"protection": "plain", "tamper_resistant": True, "weather_resistant": True}


@pytest.mark.parametrize(
    ("room", "outlet", "lacks"),
    [
        ("bathroom", PLAIN, {"ground_fault"}),
        ("bathroom", PLAIN | {"protection": "ground fault"}, set()),
        ("bedroom", PLAIN, {"arc_fault"}),
        ("bedroom", PLAIN | {"protection": "arc fault"}, set()),
        ("laundry", PLAIN, {"ground_fault", "arc_fault"}),
        ("laundry", PLAIN | {"protection": "ground fault"}, {"arc_fault"}),
        ("laundry", PLAIN | {"protection": "both"}, set()),
        ("outdoors", PLAIN | {"protection": "both", "weather_resistant": False}, {"weather_resistant"}),
        ("bedroom", PLAIN | {"protection": "both", "tamper_resistant": False}, {"tamper_resistant"}),
        ("bathroom", PLAIN | {"protection": "both", "damp": True, "weather_resistant": False}, {"weather_resistant"}),
    ],
)
@pytest.mark.parametrize("edition", EDITIONS)
def test_a_replaced_receptacle(edition: str, room: str, outlet: dict[str, Any], lacks: set[str]) -> None:
    check = found(replaced(edition, room, **outlet), IDENT)[0]
    assert (check.outcome.name, check.reach.name) == ("FAILS" if lacks else "MEETS", "REPLACED")
    if lacks:
        which: Any = check.say.params["which"]
        assert {each.key.removeprefix("demand.") for each in which} == lacks
        items = {"ground_fault": "(3)", "arc_fault": "(4)", "tamper_resistant": "(5)", "weather_resistant": "(6)"}
        bites = {each.section for each in check.cites if each.section.startswith("406.4")}
        assert bites == {f"406.4(D){items[each]}" for each in lacks}  # from memory: the items of 406.4(D)
    assert found(replaced(edition, room, **outlet), "protection.ground_fault") == []  # no outlet was added


@pytest.mark.parametrize(
    ("ground", "protection", "wanted"),
    [
        ("none", "plain", "FAILS"),
        ("none", "ground fault", "MEETS"),
        ("wire", "plain", "MEETS"),
        ("armor", "plain", "MEETS"),
        (None, "plain", "CANNOT_TELL"),
        (None, "ground fault", "MEETS"),
    ],
)
def test_no_ground_in_the_box(ground: str | None, protection: str, wanted: str) -> None:
    """Published: magazine page on 406.4(D)(2); an attic asks for nothing else here."""
    data = replaced("2023", "attic", ground=ground, **PLAIN | {"protection": protection})
    assert outcome(data, IDENT, "o-aa1") == wanted


def test_arc_fault_by_circuit_in_2014_and_by_room_from_2017() -> None:
    """2014: forum quote of 406.4(D)(4); the change of 2017 is from memory."""
    for edition, wanted in zip(EDITIONS, ("FAILS", "MEETS", "MEETS", "MEETS", "MEETS"), strict=True):
        data = replaced(edition, "bathroom", rooms=("bedroom",), **PLAIN | {"protection": "ground fault"})
        assert outcome(data, IDENT, "o-aa1") == wanted, edition


def test_a_breaker_protects_it_too() -> None:
    data = replaced("2023", "laundry", "both", tamper_resistant=True)
    assert outcome(data, IDENT, "o-aa1") == "MEETS"


def test_what_is_not_read_is_asked_for() -> None:
    check = found(replaced("2023", "laundry"), IDENT)[0]
    assert check.outcome.name == "CANNOT_TELL"
    assert {m.path for m in check.missing} == {"w-aa1/o-aa1.protection", "w-aa1/o-aa1.tamper_resistant"}


def test_facts_set_on_an_old_receptacle_mean_a_new_device() -> None:
    data = replaced("2023", "bathroom")
    data["work"] = [{"id": "w-aa1", "say": "New device", "set": {"o-old": {"protection": "ground fault"}}}]
    check = found(data, IDENT)[0]
    assert (check.thing, check.outcome.name) == ("o-old", "CANNOT_TELL")  # tamper resistance is not read yet


REQUIRED = "protection.required_circuits"
PURPOSES = ("small appliance", "laundry", "bathroom", "garage")


def new_house(edition: str, purposes: list[str | None], complete: str = "yes", rating_a: int = 20, **more: Any) -> Any:
    """A new dwelling with circuits of these purposes."""
    breakers = [BREAKER | {"id": f"b-x{n}", "spaces": [n + 1], "rating_a": rating_a} for n in range(len(purposes))]
    circuits: list[dict[str, Any]] = [{"id": f"c-x{n}", "breaker": f"b-x{n}"} for n in range(len(purposes))]
    for circuit, purpose in zip(circuits, purposes, strict=True):
        circuit |= {"purpose": purpose} if purpose else {}
    add = {"units": [{"id": "u-aa1", **more.pop("unit", {"garage": True})}], "breakers": breakers,
           "circuits": circuits}  # fmt: skip
    return job(edition, {"panels": [PANEL], "complete": {"circuits": complete}}, add, existing=False)


def by_purpose(data: Any) -> dict[str, str]:
    """Outcome by purpose."""
    made: Any = found(data, REQUIRED)
    return {each.say.params["purpose"].key.removeprefix("purpose."): each.outcome.name for each in made}


FULL = ["small appliance", "small appliance", "laundry", "bathroom", "garage"]


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_new_dwelling(edition: str) -> None:
    met = by_purpose(new_house(edition, FULL))
    wanted = {"small_appliance", "laundry", "bathroom"} | ({"garage"} if edition != "2014" else set())  # 2017 (P18)
    assert met == dict.fromkeys(wanted, "MEETS")
    assert by_purpose(new_house(edition, FULL[1:]))["small_appliance"] == "FAILS"
    assert by_purpose(new_house(edition, ["general"])) == dict.fromkeys(wanted, "FAILS")
    assert by_purpose(new_house(edition, FULL, rating_a=15)) == dict.fromkeys(wanted, "FAILS")


def test_what_is_not_known_widens_the_count() -> None:
    assert set(by_purpose(new_house("2023", ["general"], "unknown")).values()) == {"CANNOT_TELL"}
    assert by_purpose(new_house("2023", [*FULL[1:], None]))["small_appliance"] == "CANNOT_TELL"
    assert by_purpose(new_house("2023", [*FULL, None], "unknown")) == dict.fromkeys(
        ("small_appliance", "laundry", "bathroom", "garage"), "MEETS"
    )


def test_no_garage_asks_for_no_garage_circuit() -> None:
    assert "garage" not in by_purpose(new_house("2023", FULL, unit={"garage": False}))
    assert by_purpose(new_house("2023", FULL[:-1], unit={}))["garage"] == "CANNOT_TELL"


def test_two_units_need_twice_as_many() -> None:
    made = by_purpose(new_house("2023", FULL, unit={"garage": True, "count": 2}))
    assert set(made.values()) == {"FAILS"}


def test_an_existing_dwelling_is_not_counted() -> None:
    data = job("2023", {"panels": [PANEL], "units": [{"id": "u-aa1"}], "complete": {"circuits": "yes"}})
    assert found(data, REQUIRED) == []


OUTLETS = "protection.required_circuit_outlets"


@pytest.mark.parametrize(
    ("purpose", "rooms", "rating_a", "wanted"),
    [
        ("bathroom", ["bathroom"], 20, "MEETS"),
        ("bathroom", ["bathroom", "hallway"], 20, "FAILS"),
        ("bathroom", ["bathroom"], 15, "FAILS"),
        ("bathroom", [], 20, "CANNOT_TELL"),
        ("laundry", ["laundry"], 20, "MEETS"),
        ("laundry", ["laundry", "garage"], 20, "FAILS"),
        ("small appliance", ["kitchen", "dining"], 20, "MEETS"),
        ("small appliance", ["kitchen", "bedroom"], 20, "FAILS"),
        ("garage", ["garage", "outdoors"], 20, "MEETS"),
        ("garage", ["garage", "bedroom"], 20, "FAILS"),
        ("general", ["bedroom"], 15, "none"),
    ],
)
def test_a_new_circuit_of_such_a_purpose(purpose: str, rooms: list[str], rating_a: int, wanted: str) -> None:
    data = job("2023", add=new_circuit({"rating_a": rating_a}, {"purpose": purpose, "rooms": rooms}))
    assert outcome(data, OUTLETS) == wanted


TEN = "protection.ten_ampere"


@pytest.mark.parametrize(
    ("rating_a", "kinds", "by_edition"),
    [
        (10, ["lighting"], ("FAILS", "FAILS", "FAILS", "MEETS", "MEETS")),
        (10, ["lighting", "receptacles"], ("FAILS",) * 5),
        (10, [], ("FAILS", "FAILS", "FAILS", "CANNOT_TELL", "CANNOT_TELL")),
        (15, ["receptacles"], ("none",) * 5),
    ],
)
def test_circuits_of_10_a(rating_a: int, kinds: list[str], by_edition: tuple[str, ...]) -> None:
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        data = job(edition, add=new_circuit({"rating_a": rating_a}, {"outlet_kinds": kinds}))
        assert outcome(data, TEN) == wanted, edition
