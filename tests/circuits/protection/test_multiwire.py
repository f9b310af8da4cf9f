"""Multiwire circuits, neutrals of protective breakers, and breakers fed from their load side."""

from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.protection.houses import PANEL, found, job, outcome, say

LEGS, TIE, GROUP = "protection.multiwire_legs", "protection.multiwire", "protection.multiwire_grouping"


def pair(first: dict[str, Any], second: dict[str, Any], **circuit: Any) -> dict[str, Any]:
    """Two one-pole breakers whose circuits share a neutral."""
    breakers = [{"id": "b-aa1", "panel": "p-aa1", "rating_a": 20, "poles": 1, **first},
                {"id": "b-aa2", "panel": "p-aa1", "rating_a": 20, "poles": 1, **second}]  # fmt: skip
    circuits = [{"id": "c-aa1", "breaker": "b-aa1", "shares_neutral_with": "c-aa2", **circuit},
                {"id": "c-aa2", "breaker": "b-aa2"}]  # fmt: skip
    return {"breakers": breakers, "circuits": circuits}


# Spaces by rows, odd on the left and even on the right: rows 1-2, 3-4, 5-6 alternate legs (common practice).
SPACES = [
    (1, 3, "MEETS"), (1, 2, "FAILS"), (2, 4, "MEETS"), (1, 4, "MEETS"), (3, 5, "MEETS"), (1, 5, "FAILS"),
    (2, 5, "FAILS"), (3, 7, "FAILS"), (39, 41, "MEETS"), (40, 42, "MEETS"),
]  # fmt: skip


@pytest.mark.parametrize(("one", "two", "wanted"), SPACES)
def test_legs_by_spaces_in_an_old_panel(one: int, two: int, wanted: str) -> None:
    data = job("2023", {"panels": [PANEL], **pair({"spaces": [one]}, {"spaces": [two]})})
    made = found(data, LEGS)
    assert [each.outcome.name for each in made] == [wanted]
    if wanted == "FAILS":
        assert made[0].severity.name == "DANGER"
    assert found(data, TIE) == [] and found(data, GROUP) == []  # an old pair is asked for no more


def test_halves_of_one_space_stand_on_one_leg() -> None:
    data = job("2023", {"panels": [PANEL], **pair({"spaces": [5], "half": "a"}, {"spaces": [5], "half": "b"})})
    assert outcome(data, LEGS) == "FAILS"


def test_a_measurement_wins_over_the_pattern() -> None:
    same = pair({"spaces": [1]}, {"spaces": [2]}, hots_240_apart=True)
    assert outcome(job("2023", {"panels": [PANEL], **same}), LEGS) == "MEETS"
    apart = pair({"spaces": [1]}, {"spaces": [3]}, hots_240_apart=False)
    assert outcome(job("2023", {"panels": [PANEL], **apart}), LEGS) == "FAILS"


def test_spaces_not_known_bar_nothing_in_an_old_panel_and_bar_a_signature_in_new_work() -> None:
    made = found(job("2023", {"panels": [PANEL], **pair({}, {"spaces": [3]})}), LEGS)
    assert [(c.outcome.name, c.severity.name) for c in made] == [("CANNOT_TELL", "NOTE")]
    made = found(job("2023", {"panels": [PANEL]}, pair({}, {"spaces": [3]})), LEGS)
    assert [(c.outcome.name, c.severity.name) for c in made] == [("CANNOT_TELL", "CORRECT")]
    assert {m.path for m in made[0].missing} == {"w-aa1/b-aa1.spaces", "w-aa1/c-aa1.hots_240_apart"}


def test_two_panels_cannot_share_a_neutral() -> None:
    other = {"id": "p-aa2", "name": "Garage panel", "spaces": 12}
    data = job("2023", {"panels": [PANEL, other], **pair({"spaces": [1]}, {"spaces": [3], "panel": "p-aa2"})})
    made = found(data, LEGS)
    assert [(c.outcome.name, c.severity.name) for c in made] == [("FAILS", "DANGER")]
    assert made[0].say.key.endswith("_panels")


def test_three_circuits_on_one_neutral_of_two_legs_always_fail() -> None:
    three = pair({"spaces": [1]}, {"spaces": [3]})
    three["breakers"].append({"id": "b-aa3", "panel": "p-aa1", "spaces": [5], "poles": 1, "rating_a": 20})
    three["circuits"].append({"id": "c-aa3", "breaker": "b-aa3", "shares_neutral_with": "c-aa1"})
    assert outcome(job("2023", {"panels": [PANEL], **three}), LEGS) == "FAILS"
    wye = job("2023", {"service": {"system": "208Y/120 3ph 4w"}, "panels": [PANEL], **three})
    assert outcome(wye, LEGS) == "MEETS"


@pytest.mark.parametrize(("poles", "wanted"), [(2, "MEETS"), (1, "FAILS"), (None, "CANNOT_TELL")])
def test_both_hots_on_one_breaker(poles: int | None, wanted: str) -> None:
    one = pair({"spaces": [1, 3], "poles": poles}, {"spaces": [5]})
    one["circuits"][1]["breaker"] = "b-aa1"
    assert outcome(job("2023", {"panels": [PANEL]}, one), LEGS) == wanted
    assert outcome(job("2023", {"panels": [PANEL]}, one), TIE) == wanted


@pytest.mark.parametrize(
    ("first", "second", "wanted"),
    [
        ({"spaces": [1], "tied_with": "b-aa2"}, {"spaces": [3]}, "MEETS"),
        ({"spaces": [1]}, {"spaces": [3]}, "CANNOT_TELL"),
        ({"spaces": [1], "opens_with_partner": False}, {"spaces": [3]}, "FAILS"),
        ({"spaces": [1], "opens_with_partner": True}, {"spaces": [3]}, "MEETS"),
        ({"spaces": [1]}, {"spaces": [4]}, "FAILS"),  # opposite columns: no handle tie reaches (common practice)
        ({"spaces": [1]}, {"spaces": [7]}, "FAILS"),
    ],
)
def test_new_pairs_open_together(first: dict[str, Any], second: dict[str, Any], wanted: str) -> None:
    assert outcome(job("2023", {"panels": [PANEL]}, pair(first, second)), TIE) == wanted


@pytest.mark.parametrize(
    ("circuit", "wanted"),
    [
        ({}, "CANNOT_TELL"),
        ({"multiwire_grouped": True}, "MEETS"),
        ({"multiwire_grouped": False}, "FAILS"),
        ({"cable": {"type": "NM-B", "conductors": 3}}, "MEETS"),
    ],
)
def test_grouping(circuit: dict[str, Any], wanted: str) -> None:
    data = job("2023", {"panels": [PANEL]}, pair({"spaces": [1]}, {"spaces": [3]}, **circuit))
    assert outcome(data, GROUP) == wanted


NEUTRAL = "protection.neutral_on_breaker"


@pytest.mark.parametrize(
    ("breaker", "circuit", "new", "old"),
    [
        ({"protection": "both", "neutral_on": "breaker"}, {}, "MEETS", "none"),
        ({"protection": "both", "neutral_on": "bar"}, {}, "FAILS", "FAILS"),
        ({"protection": "ground fault"}, {}, "CANNOT_TELL", "none"),
        ({"protection": "plain", "neutral_on": "bar"}, {}, "none", "none"),
        ({"protection": "plain", "controllable": True}, {}, "CANNOT_TELL", "none"),
        ({"protection": "plain", "controllable": True, "neutral_as_listed": True}, {}, "MEETS", "none"),
        ({"protection": "plain", "controllable": True, "neutral_as_listed": False}, {}, "FAILS", "FAILS"),
        ({"protection": "ground fault", "poles": 2, "spaces": [1, 3]}, {"cable": {"conductors": 2}}, "none", "none"),
        ({"protection": "ground fault", "poles": 2, "spaces": [1, 3]}, {"cable": {"conductors": 3}}, "CANNOT_TELL",
         "none"),
    ],
)  # fmt: skip
def test_where_the_neutral_ends(breaker: dict[str, Any], circuit: dict[str, Any], new: str, old: str) -> None:
    things = {"breakers": [{"id": "b-aa1", "panel": "p-aa1", "spaces": [1], "poles": 1, **breaker}],
              "circuits": [{"id": "c-aa1", "breaker": "b-aa1", **circuit}]}  # fmt: skip
    assert outcome(job("2023", {"panels": [PANEL]}, things), NEUTRAL, "b-aa1") == new
    assert outcome(job("2023", {"panels": [PANEL], **things}), NEUTRAL, "b-aa1") == old


def test_a_one_pole_protective_breaker_on_a_shared_neutral() -> None:
    data = job("2023", {"panels": [PANEL], **pair({"spaces": [1], "protection": "arc fault"}, {"spaces": [3]})})
    made = found(data, NEUTRAL)
    assert [(c.thing, c.outcome.name) for c in made] == [("b-aa1", "FAILS")]
    assert made[0].say.key.endswith("_shared_with")


@pytest.mark.parametrize("protective", ["b-aa1", "b-aa2"])
def test_sharing_is_mutual_and_the_remedy_moves_no_shared_neutral(protective: str) -> None:
    """Only one circuit says that it shares; either protective breaker is wrong, and both are named."""
    first, second = ({"protection": "arc fault"} if each == protective else {} for each in ("b-aa1", "b-aa2"))
    data = job("2023", {"panels": [PANEL], **pair({"spaces": [1], **first}, {"spaces": [3], **second})})
    (made,) = found(data, NEUTRAL)
    assert (made.thing, made.outcome.name) == (protective, "FAILS")
    assert made.remedy is not None and made.remedy.key == "remedy.protection.neutral_shared"
    text = say([made])[0]
    assert "breaker in 1" in text and "breaker in 3" in text


@pytest.mark.parametrize(
    ("kind", "held_down", "by_edition"),
    [
        ("battery", True, ("MEETS",) * 5),
        ("battery", False, ("FAILS",) * 5),
        ("inlet", None, ("CANNOT_TELL",) * 5),
        ("generator", False, ("FAILS",) * 5),
        ("solar", False, ("NOT_APPLICABLE",) * 3 + ("CANNOT_TELL",) * 2),  # place in 2023 and 2026 not found
        ("solar", True, ("MEETS",) * 5),
    ],
)
def test_back_fed_breakers(kind: str, held_down: bool | None, by_edition: tuple[str, ...]) -> None:
    things = {"breakers": [{"id": "b-aa1", "panel": "p-aa1", "spaces": [1, 3], "poles": 2, "held_down": held_down}],
              "sources": [{"id": "s-aa1", "kind": kind, "breaker": "b-aa1"}]}  # fmt: skip
    for edition, wanted in zip(("2014", "2017", "2020", "2023", "2026"), by_edition, strict=True):
        data = job(edition, {"panels": [PANEL]}, things)
        assert outcome(data, "protection.backfed", "b-aa1") == wanted, edition
    found_old = outcome(job("2020", {"panels": [PANEL], **things}), "protection.backfed", "b-aa1")
    assert found_old == ("none" if held_down is None else by_edition[2])


UNSEEN = "protection.multiwire_unseen"


@pytest.mark.parametrize(
    ("circuit", "poles", "wanted"),
    [
        ({"cable": {"conductors": 3}}, 1, "CANNOT_TELL"),
        ({"cable": {"conductors": 3}, "neutral_alone": True}, 1, "none"),
        ({"cable": {"conductors": 2}}, 1, "none"),
        ({"cable": {"conductors": 3}}, 2, "none"),
        ({"shares_neutral_with": "c-aa1"}, 1, "FAILS"),
    ],
)
def test_half_of_a_pair(circuit: dict[str, Any], poles: int, wanted: str) -> None:
    things = {"breakers": [{"id": "b-aa1", "panel": "p-aa1", "spaces": [1], "poles": poles}],
              "circuits": [{"id": "c-aa1", "breaker": "b-aa1", **circuit}]}  # fmt: skip
    for data, severity in (
        (job("2023", {"panels": [PANEL], **things}), "NOTE"),
        (job("2023", {"panels": [PANEL]}, things), "CORRECT"),
    ):
        made = found(data, UNSEEN)
        assert [(c.outcome.name, c.severity.name) for c in made] == ([] if wanted == "none" else [(wanted, severity)])


def test_both_of_a_pair_are_seen() -> None:
    both = pair({"spaces": [1]}, {"spaces": [3]}, cable={"conductors": 3})
    both["circuits"][1]["cable"] = {"conductors": 3}
    assert found(job("2023", {"panels": [PANEL], **both}), UNSEEN) == []
