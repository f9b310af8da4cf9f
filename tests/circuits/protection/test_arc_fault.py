"""Arc-fault protection by room, edition and work, against tables made by hand from the rules in the reference.

Rooms: P11, P12 (2014 to 2023), 2026 from memory. Extensions: license-renewal course (P13, P15). Panel change: P16.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.protection.houses import BREAKER, PANEL, found, job, new_circuit, outcome

IDENT = "protection.arc_fault"
EDITIONS = ("2014", "2017", "2020", "2023", "2026")
LISTED = ("kitchen", "family", "dining", "living", "parlor", "library", "den", "bedroom", "sunroom", "recreation",
          "closet", "hallway", "laundry")  # fmt: skip
NOT_LISTED = ("bathroom", "garage", "outdoors", "unfinished basement", "crawl space", "attic", "utility", "boathouse",
              "accessory building")  # fmt: skip
UNCLEAR = ("basement", "stairway", "other")


def new(edition: str, rooms: list[str], breaker: dict[str, Any] | None = None, **circuit: Any) -> dict[str, Any]:
    """One new circuit on a plain breaker."""
    return job(edition, add=new_circuit({"protection": "plain", **(breaker or {})}, {"rooms": rooms, **circuit}))


@pytest.mark.parametrize("edition", EDITIONS)
def test_rooms_of_a_new_circuit(edition: str) -> None:
    for rooms, wanted in ((LISTED, "FAILS"), (NOT_LISTED, "NOT_APPLICABLE"), (UNCLEAR, "CANNOT_TELL")):
        for room in rooms:
            assert outcome(new(edition, [room], first_outlet="plain"), IDENT) == wanted, room
    assert outcome(new(edition, ["garage", "bedroom"], first_outlet="plain"), IDENT) == "FAILS"
    assert outcome(new(edition, [], first_outlet="plain"), IDENT) == "CANNOT_TELL"


@pytest.mark.parametrize(
    ("rating_a", "poles", "by_edition"),
    [
        (15, 1, ("FAILS",) * 5),
        (20, 1, ("FAILS",) * 5),
        (10, 1, ("NOT_APPLICABLE",) * 3 + ("FAILS",) * 2),  # circuits of 10 A came in 2023
        (30, 1, ("NOT_APPLICABLE",) * 5),
        (20, 2, ("NOT_APPLICABLE",) * 5),  # 240 V
    ],
)
def test_ratings_and_volts(rating_a: int, poles: int, by_edition: tuple[str, ...]) -> None:
    for edition, wanted in zip(EDITIONS, by_edition, strict=True):
        breaker = {"rating_a": rating_a, "poles": poles, "spaces": [1, 3] if poles == 2 else [1]}
        assert outcome(new(edition, ["bedroom"], breaker, first_outlet="plain"), IDENT) == wanted, edition


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("protection", ["arc fault", "both"])
def test_a_breaker_gives_it(edition: str, protection: str) -> None:
    assert outcome(new(edition, ["bedroom"], {"protection": protection}), IDENT) == "MEETS"
    assert outcome(new(edition, ["stairway"], {"protection": protection}), IDENT) == "MEETS"
    assert outcome(new(edition, [], {"protection": protection}), IDENT) == "MEETS"


@pytest.mark.parametrize(
    ("circuit", "wanted"),
    [
        ({"cable": {"type": "NM-B"}}, "CANNOT_TELL"),
        ({"cable": {"type": "MC"}}, "MEETS"),
        ({"cable": {"type": "AC"}}, "MEETS"),
        ({"cable": {"type": "NM-B"}, "afci_combination_listed": True}, "MEETS"),
        ({"cable": {"type": "NM-B"}, "afci_combination_listed": False}, "FAILS"),
        ({"afci_combination_listed": False}, "CANNOT_TELL"),  # it may still be armored cable
    ],
)
def test_a_device_at_the_first_outlet_of_a_new_circuit(circuit: dict[str, Any], wanted: str) -> None:
    """From memory: permitted means of 210.12(A)."""
    assert outcome(new("2023", ["bedroom"], first_outlet="arc fault", **circuit), IDENT) == wanted


def old(rooms: list[str], protection: str = "plain", **circuit: Any) -> dict[str, Any]:
    """An old circuit on a breaker that was there."""
    return {"panels": [PANEL], "breakers": [BREAKER | {"protection": protection}],
            "circuits": [{"id": "c-aa1", "breaker": "b-aa1", "rooms": rooms, "first_outlet": "plain",
                          **circuit}]}  # fmt: skip


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(
    ("work", "wanted"),
    [
        ({}, "none"),
        ({"extended_ft": 6, "outlets_added": 0}, "NOT_APPLICABLE"),  # 6 ft exactly is let pass
        ({"extended_ft": 6.01, "outlets_added": 0}, "FAILS"),
        ({"extended_ft": 0, "outlets_added": 1}, "FAILS"),
        ({"extended_ft": 3}, "CANNOT_TELL"),  # whether an outlet is added is not told
        ({"extended_ft": 7}, "FAILS"),
        ({"extended_ft": 7, "outlets_added": 2, "first_outlet": "both"}, "MEETS"),
    ],
)
def test_an_extension(edition: str, work: dict[str, Any], wanted: str) -> None:
    data = job(edition, old(["bedroom"], **work))
    assert outcome(data, IDENT) == wanted
    if wanted == "FAILS":
        remedy = found(data, IDENT)[0].remedy
        assert remedy is not None and remedy.key.endswith(".switch" if edition == "2026" else ".extended")


def test_replaced_cable_is_wiring_replaced() -> None:
    data = job("2023", old(["bedroom"]), set={"c-aa1": {"cable": {"type": "NM-B", "size": "14"}}})
    assert [(c.outcome.name, c.reach.name) for c in found(data, IDENT)] == [("FAILS", "REPLACED")]


def panel_change(rooms: list[str], panel: dict[str, Any] | None = None, **circuit: Any) -> dict[str, Any]:
    """An old circuit put on a new plain breaker."""
    before = old(rooms, **circuit) | {"panels": [PANEL | (panel or {})]}
    add = {"breakers": [BREAKER | {"id": "b-new", "spaces": [3], "protection": "plain"}]}
    return job("2023", before, add, remove=["b-aa1"], set={"c-aa1": {"breaker": "b-new"}})


@pytest.mark.parametrize(
    ("panel", "circuit", "wanted"),
    [
        ({}, {}, "CANNOT_TELL"),
        ({"circuits_lengthened": False}, {}, "NOT_APPLICABLE"),
        ({"circuits_lengthened": True}, {}, "CANNOT_TELL"),
        ({"circuits_lengthened": True}, {"extended_ft": 0}, "NOT_APPLICABLE"),
    ],
)
def test_a_panel_change_alone_asks_for_none(panel: dict[str, Any], circuit: dict[str, Any], wanted: str) -> None:
    data = panel_change(["bedroom"], panel, **circuit)
    assert outcome(data, "protection.panel_change", "p-aa1") == wanted
    assert found(data, IDENT) == []


def test_a_panel_change_with_a_long_extension_asks_for_it() -> None:
    data = panel_change(["bedroom"], {"circuits_lengthened": True}, extended_ft=9)
    assert outcome(data, IDENT) == "FAILS"
    assert found(data, "protection.panel_change") == []


def test_a_panel_change_of_a_garage_circuit_asks_nothing() -> None:
    assert found(panel_change(["garage"]), "protection.panel_change") == []


def test_one_question_for_a_whole_panel() -> None:
    before = old(["bedroom"])
    before["breakers"] += [BREAKER | {"id": f"b-x{n}", "spaces": [n], "protection": "plain"} for n in range(5, 35)]
    before["circuits"] += [{"id": f"c-x{n}", "breaker": f"b-x{n}", "rooms": ["living"]} for n in range(5, 35)]
    work = {f"b-x{n}": {"protection": "plain"} for n in range(5, 35)}
    made = found(job("2023", before, set=work), "protection.panel_change")
    assert len(made) == 1 and len(made[0].missing) == 1
    assert len(made[0].say.params["circuits"]) == 30  # type: ignore[arg-type]


def test_a_panel_on_another_wall_is_a_panel_change_though_its_breakers_stay() -> None:
    for work in ({"move": {"p-aa1": {"place": "Garage"}}}, {"set": {"p-aa1": {"location": "garage"}}}):
        made = found(job("2023", old(["bedroom"]), **work), "protection.panel_change")
        assert [each.outcome.name for each in made] == ["CANNOT_TELL"]
    assert found(job("2023", old(["bedroom"]), set={"p-aa1": {"sccr_ka": 22}}), "protection.panel_change") == []
