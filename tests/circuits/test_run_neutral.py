"""Two insulated conductors where a neutral is needed, by hand: 120/240 V equipment, panels with one-pole breakers."""

from __future__ import annotations

from deadfront.circuits.rules.each.run_neutral import checks
from deadfront.worksheet.check import Check
from tests.circuits.runs_made import NM, circuit_facts, facts_from

CABLE = {**NM, "size": "6", "conductors": 2}
RANGE = {"kind": "range", "nameplate_w": 12000}


def of(neutral: bool | None, new: bool = True, **cable: object) -> list[tuple[str, str]]:
    load = RANGE if neutral is None else {**RANGE, "neutral": neutral}
    return told(checks(circuit_facts({**CABLE, **cable}, 50, load, poles=2, new=new)))


def told(found: object) -> list[tuple[str, str]]:
    return [(check.id, check.outcome.name) for check in found if isinstance(check, Check)]  # type: ignore[attr-defined]


def test_a_range_that_needs_a_neutral_on_two_conductors_is_a_danger_new_or_old() -> None:
    assert of(True) == of(True, new=False) == [("circuit.neutral", "FAILS")]


def test_three_conductors_or_no_need_of_a_neutral_is_silent() -> None:
    assert of(True, conductors=3) == of(False) == []


def test_a_new_range_is_asked_whether_it_needs_one_an_old_one_is_not() -> None:
    assert of(None) == [("circuit.neutral", "CANNOT_TELL")]
    assert of(None, new=False) == []


def test_a_panel_fed_without_a_neutral_holds_no_one_pole_breaker() -> None:
    def house(poles: int) -> list[tuple[str, str]]:
        panel = {"id": "p-bb", "fed_by": "b-01", "spaces": 8, "feeder": {"conductors": 2}}
        parts = {
            "panels": [{"id": "p-aa", "fed_by": "service", "spaces": 40}, panel],
            "breakers": [{"id": "b-01", "panel": "p-aa", "spaces": [1, 3], "poles": 2, "rating_a": 60},
                         {"id": "b-02", "panel": "p-bb", "poles": poles, "rating_a": 20}],
        }  # fmt: skip
        return told(checks(facts_from(parts)))

    assert house(1) == [("feeder.neutral", "FAILS")] and house(2) == []
