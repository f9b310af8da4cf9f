"""Ground-fault protection of receptacles, by edition, against tables made by hand from the rules in the reference.

Source of each column: adopted text of 2014; forum quotes of 2017, 2020; a 2023 guide; a course on 2026 (P1 to P5).
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.protection.houses import BREAKER, PANEL, found, job, new_circuit, outcome

IDENT = "protection.ground_fault"
EDITIONS = ("2014", "2017", "2020", "2023", "2026")
F, N, T = "FAILS", "NOT_APPLICABLE", "CANNOT_TELL"

# One new 120 V, 20 A circuit, plain breaker, one plain receptacle there: 2014, 2017, 2020, 2023, 2026.
ROOMS = [
    ({"room": "bathroom"}, (F, F, F, F, F)),
    ({"room": "garage"}, (F, F, F, F, F)),
    ({"room": "outdoors"}, (F, F, F, F, F)),
    ({"room": "crawl space"}, (F, F, F, F, F)),
    ({"room": "unfinished basement"}, (F, F, F, F, F)),
    ({"room": "boathouse"}, (F, F, F, F, F)),
    ({"room": "laundry"}, (F, F, F, F, F)),
    ({"room": "accessory building"}, (F, F, F, F, F)),
    ({"room": "basement"}, (T, T, F, F, F)),  # 2014, 2017: unfinished ones only
    ({"room": "kitchen", "at_counter": True}, (F, F, F, F, F)),
    ({"room": "kitchen", "at_counter": False, "within_6ft_of_sink": False}, (N, N, N, F, F)),  # 2023: all of them
    ({"room": "kitchen", "at_counter": False, "within_6ft_of_sink": True}, (F, F, F, F, F)),
    ({"room": "kitchen"}, (T, T, T, F, F)),
    ({"room": "bedroom"}, (N, N, N, N, N)),  # common practice: no sink or tub in it
    ({"room": "bedroom", "within_6ft_of_tub": True}, (F, F, F, F, F)),
    ({"room": "family", "within_6ft_of_sink": False}, (N, N, N, T, T)),  # 2023: a place for food with a sink?
    ({"room": "family", "within_6ft_of_sink": False, "at_counter": False}, (N, N, N, N, N)),
    ({"room": "family", "within_6ft_of_sink": False, "at_counter": True}, (N, N, N, F, F)),
    ({"room": "den", "at_counter": True}, (N, N, N, F, F)),
    ({"room": "hallway", "damp": True}, (N, N, F, F, F)),  # 2020: damp and wet places indoors
    ({"room": "bathroom", "exempt": "exhaust fan"}, (F, F, F, N, N)),
    ({"room": "unfinished basement", "exempt": "security"}, (N, N, N, N, N)),
    ({"room": "outdoors", "exempt": "snow melting"}, (N, N, N, N, N)),
]


@pytest.mark.parametrize(("facts", "by_edition"), ROOMS, ids=lambda value: "-".join(map(str, value)))
def test_a_receptacle_of_a_new_circuit(facts: dict[str, Any], by_edition: tuple[str, ...]) -> None:
    outlet = {"id": "o-aa1", "circuit": "c-aa1", "kind": "receptacle", "protection": "plain", **facts}
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        add = new_circuit({"protection": "plain"}, {"rooms": [facts["room"]]}, outlets=[outlet])
        assert outcome(job(edition, add=add), IDENT) == wanted, edition


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("where", ["breaker", "outlet", "first outlet"])
def test_protection_anywhere_ahead_meets(edition: str, where: str) -> None:
    outlet = {"id": "o-aa1", "circuit": "c-aa1", "kind": "receptacle", "room": "bathroom"}
    outlet |= {"protection": "ground fault"} if where == "outlet" else {}
    add = new_circuit({"protection": "both"} if where == "breaker" else {"protection": "plain"},
                      {"rooms": ["bathroom"]} | ({"first_outlet": "both"} if where == "first outlet" else {}),
                      outlets=[outlet])  # fmt: skip
    assert outcome(job(edition, add=add), IDENT) == "MEETS"


@pytest.mark.parametrize(
    ("volts", "rating_a", "by_edition"),
    [
        (240, 30, (N, N, F, F, F)),  # a dryer receptacle in the laundry: from 2020 (any ampere rating, 125 to 250 V)
        (120, 30, (N, N, F, F, F)),
        (120, 20, (F, F, F, F, F)),
        (120, 15, (F, F, F, F, F)),
    ],
)
def test_volts_and_amperes(volts: int, rating_a: int, by_edition: tuple[str, ...]) -> None:
    outlet = {"id": "o-aa1", "circuit": "c-aa1", "kind": "receptacle", "room": "laundry", "protection": "plain",
              "volts": volts, "rating_a": rating_a}  # fmt: skip
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        add = new_circuit({"protection": "plain", "rating_a": rating_a}, {"rooms": ["laundry"]}, outlets=[outlet])
        made = found(job(edition, add=add), IDENT)
        assert [each.outcome.name for each in made] == [wanted]
        if wanted == F and (volts, rating_a) != (120, 15) and rating_a > 20:
            assert made[0].remedy is not None and made[0].remedy.key.endswith(".breaker")


@pytest.mark.parametrize(
    ("rooms", "kinds", "by_edition"),
    [
        (["garage"], ["receptacles"], (F, F, F, F, F)),
        (["garage"], ["receptacles", "lighting"], (F, F, F, F, F)),  # one room: its receptacles stand there
        (["garage", "bedroom"], ["receptacles", "lighting"], (T, T, T, T, T)),  # the garage may have lights alone
        (["garage", "bedroom"], ["receptacles"], (F, F, F, F, F)),
        (["bedroom"], ["receptacles", "lighting"], (N, N, N, N, N)),
        (["bedroom", "bathroom"], ["lighting"], (N, N, N, N, N)),
        (["crawl space"], ["lighting"], (N, F, F, F, F)),  # 2017 brings lights in crawl spaces (P6)
        (["kitchen"], ["receptacles"], (T, T, T, F, F)),
        (["garage"], [], (T, T, T, T, T)),
        ([], ["receptacles"], (T, T, T, T, T)),
        ([], [], (T, T, T, T, T)),
    ],
)
def test_rooms_alone_give_a_range_of_answers(rooms: list[str], kinds: list[str], by_edition: tuple[str, ...]) -> None:
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        circuit = {"rooms": rooms, "outlet_kinds": kinds, "first_outlet": "plain"}
        made = found(job(edition, add=new_circuit({"protection": "plain"}, circuit)), IDENT)
        assert [each.outcome.name for each in made] == [wanted], edition
        assert bool(made[0].missing) == (wanted == T)


def test_a_breaker_not_known_is_asked_for() -> None:
    made = found(job("2023", add=new_circuit({}, {"rooms": ["garage"], "outlet_kinds": ["receptacles"]})), IDENT)
    assert [each.outcome.name for each in made] == [T]
    assert {m.path for m in made[0].missing} == {"w-aa1/b-aa1.protection", "w-aa1/c-aa1.first_outlet"}


def existing(**circuit: Any) -> dict[str, Any]:
    """An old bathroom circuit without protection, and what the work does to it."""
    old = {"id": "c-aa1", "breaker": "b-aa1", "rooms": ["bathroom"], "outlet_kinds": ["receptacles"], **circuit}
    outlet = {"id": "o-old", "circuit": "c-aa1", "kind": "receptacle", "room": "bathroom", "protection": "plain"}
    breaker = BREAKER | {"protection": "plain"}
    return {"panels": [PANEL], "breakers": [breaker], "circuits": [old], "outlets": [outlet]}


def test_an_old_circuit_is_left_alone() -> None:
    assert found(job("2023", existing()), IDENT) == []


def test_a_panel_change_asks_for_none() -> None:
    work = {"add": {"breakers": [BREAKER | {"id": "b-new", "spaces": [3], "protection": "plain"}]}}
    data = job("2023", existing(), work["add"], remove=["b-aa1"], set={"c-aa1": {"breaker": "b-new"}})
    assert found(data, IDENT) == []


def test_an_added_outlet_alone_is_asked_for() -> None:
    add = {"outlets": [{"id": "o-new", "circuit": "c-aa1", "kind": "receptacle", "room": "bathroom",
                        "protection": "plain"}]}  # fmt: skip
    made = found(job("2023", existing(), add), IDENT)
    assert [(each.outcome.name, each.reach.name) for each in made] == [(F, "EXTENDED")]
    assert len(made[0].say.params["which"]) == 1  # type: ignore[arg-type]
    assert made[0].remedy is not None and made[0].remedy.key.endswith(".extended")
    assert outcome(job("2023", existing(outlets_added=1)), IDENT) == T  # where the added one stands is not told


def test_length_alone_adds_no_outlet() -> None:
    assert found(job("2023", existing(extended_ft=10)), IDENT) == []


def test_a_new_outlet_without_a_circuit_is_not_passed_over() -> None:
    outlet = {"id": "o-aa1", "kind": "receptacle", "room": "bathroom"}
    made = found(job("2023", add={"outlets": [outlet]}), IDENT)
    assert [(each.thing, each.outcome.name) for each in made] == [("o-aa1", T)]
    assert {m.path for m in made[0].missing} == {"w-aa1/o-aa1.circuit", "w-aa1/o-aa1.protection"}
    made = found(job("2023", add={"outlets": [outlet | {"protection": "ground fault"}]}), IDENT)
    assert [each.outcome.name for each in made] == ["MEETS"]


@pytest.mark.parametrize(
    ("rooms", "kinds", "wanted"),
    [
        (["garage"], ["receptacles"], F),
        (["garage", "outdoors"], ["receptacles"], F),  # wherever it stands, it is asked for
        (["garage", "bedroom"], ["receptacles"], T),  # it may stand in the bedroom
        (["garage"], ["receptacles", "lighting"], T),  # it may be a light
        (["bedroom"], ["receptacles"], N),
        (["garage"], ["lighting"], N),
        ([], [], T),
    ],
)
def test_an_added_outlet_that_is_not_listed(rooms: list[str], kinds: list[str], wanted: str) -> None:
    house = existing(outlets_added=1, first_outlet="plain", rooms=rooms, outlet_kinds=kinds)
    assert outcome(job("2023", house), IDENT) == wanted


def test_a_listed_light_does_not_stand_for_the_receptacles_of_its_room() -> None:
    light = {"id": "o-aa1", "circuit": "c-aa1", "kind": "lighting", "room": "garage"}
    circuit = {"rooms": ["garage"], "outlet_kinds": ["receptacles", "lighting"], "first_outlet": "plain"}
    assert outcome(job("2023", add=new_circuit({"protection": "plain"}, circuit, outlets=[light])), IDENT) == F


def test_a_doorway_ends_the_path_in_2017_alone() -> None:
    """Published: forum quote of 210.8(A) of 2017 and 2020; that 2014 says nothing of doorways is from memory."""
    for edition, wanted in zip(EDITIONS, (F, N, F, F, F), strict=True):
        outlet = {"id": "o-aa1", "circuit": "c-aa1", "kind": "receptacle", "room": "hallway", "protection": "plain",
                  "within_6ft_of_sink": True, "through_doorway": True}  # fmt: skip
        add = new_circuit({"protection": "plain"}, {"rooms": ["hallway"]}, outlets=[outlet])
        assert outcome(job(edition, add=add), IDENT) == wanted, edition


def test_rooms_set_by_the_work_ask_whether_outlets_are_added() -> None:
    made = found(job("2023", existing(), set={"c-aa1": {"rooms": ["bathroom", "bedroom"]}}), IDENT)
    assert [(each.outcome.name, each.reach.name) for each in made] == [(T, "EXTENDED")]
    assert "before/c-aa1.outlets_added" in {m.path for m in made[0].missing}
    told = {"rooms": ["bathroom", "bedroom"], "outlets_added": 0, "extended_ft": 0}
    assert found(job("2023", existing(), set={"c-aa1": told}), IDENT) == []
    assert found(job("2023", existing(), set={"c-aa1": {"note": "Traced again"}}), IDENT) == []
