"""Two insulated conductors where a neutral is needed, by hand: 120/240 V equipment, panels with one-pole breakers."""

from __future__ import annotations

from typing import Any

from deadfront.circuits.rules.each.run_neutral import checks
from deadfront.documents.catalog import LANGUAGES, Catalog
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


def test_the_bare_wire_of_old_entrance_cable_is_its_neutral() -> None:
    """Two insulated conductors and a bare one: the rule on old three-wire ranges judges it, not this one."""
    assert of(True, new=False, type="SEU", ground="none") == []
    assert of(True, type="SEU", ground="wire") == [("circuit.neutral", "FAILS")]


def test_poles_that_are_not_known_leave_it_open() -> None:
    spa = {"kind": "spa", "nameplate_w": 6000, "neutral": True}
    unread = {"poles": None}
    assert told(checks(circuit_facts(CABLE, 50, spa, breaker=unread))) == [("circuit.neutral", "CANNOT_TELL")]
    found = list(checks(circuit_facts(CABLE, 50, spa, breaker=unread)))
    assert [m.path for m in found[0].missing] == ["w-01a/b-01.poles"]
    assert told(checks(circuit_facts(CABLE, 50, spa, breaker=unread, new=False))) == []
    assert told(checks(circuit_facts(CABLE, 50, {**spa, "volts": 240}, breaker=unread))) == [
        ("circuit.neutral", "FAILS")
    ]  # between the legs and with a neutral, whatever the breaker


def test_conductors_nobody_counted_are_asked_where_a_neutral_is_needed() -> None:
    spa = {"kind": "spa", "nameplate_w": 6000, "neutral": True}
    found = list(checks(circuit_facts({**NM, "size": "6"}, 50, spa, poles=2)))
    assert [(c.outcome.name, [m.path for m in c.missing]) for c in found] == [
        ("CANNOT_TELL", ["w-01a/c-01.cable.conductors"])
    ]


# --- panels ----------------------------------------------------------------------------------------------------------
SUB = {"id": "p-bb", "fed_by": "b-01", "spaces": 8, "feeder": {"type": "NM-B", "conductors": 2}}
FEEDING = {"id": "b-01", "panel": "p-aa", "spaces": [1, 3], "poles": 2, "rating_a": 60}


def house(*inside: dict[str, Any], new: bool = False, complete: str = "yes", **more: Any) -> list[tuple[str, str]]:
    """Panel p-bb fed without a neutral, with breakers in it; `more` is what else the house holds."""
    parts: dict[str, Any] = {
        "panels": [SUB, *more.pop("panels", [])], "breakers": [FEEDING, *inside], **more,
    }  # fmt: skip
    before = {"complete": {"breakers": complete}}
    main = {"id": "p-aa", "fed_by": "service", "spaces": 40}
    if new:
        return told(checks(facts_from({**before, "panels": [main]}, add=parts)))
    return told(checks(facts_from({**before, **parts, "panels": [main, *parts["panels"]]})))


def inside(poles: int | None, ident: str = "b-02", panel: str = "p-bb") -> dict[str, Any]:
    return {"id": ident, "panel": panel, "rating_a": 20} | ({"poles": poles} if poles else {})


def test_a_panel_fed_without_a_neutral_holds_no_one_pole_breaker() -> None:
    assert house(inside(1)) == house(inside(1), new=True) == [("feeder.neutral", "FAILS")]
    assert house(inside(2)) == [] and house(inside(2), new=True) == [("feeder.neutral", "MEETS")]


def test_breakers_that_are_not_all_listed_are_no_pass() -> None:
    assert house(inside(2), new=True, complete="unknown") == [("feeder.neutral", "CANNOT_TELL")]
    assert house(inside(None), new=True) == [("feeder.neutral", "CANNOT_TELL")]
    assert house(inside(None)) == []  # nobody touches it, and nothing shows a hazard


def test_a_panel_fed_from_it_counts() -> None:
    """The neutral of p-cc would have to come through p-bb, which has none."""
    further = {"id": "p-cc", "fed_by": "b-02", "feeder": {"type": "NM-B", "conductors": 3}}
    assert house(inside(2), inside(1, "b-03", "p-cc"), panels=[further]) == [("feeder.neutral", "FAILS")]
    assert house(inside(2), inside(2, "b-03", "p-cc"), panels=[further]) == []


def test_a_load_with_a_neutral_on_a_two_pole_breaker_counts() -> None:
    def on_it(neutral: bool | None) -> list[tuple[str, str]]:
        load = {"id": "l-01", "kind": "range", "circuit": "c-01", "nameplate_w": 9000}
        load |= {} if neutral is None else {"neutral": neutral}
        circuit = {"id": "c-01", "breaker": "b-02", "cable": {"type": "NM-B", "conductors": 3}}
        return house(inside(2), new=True, circuits=[circuit], loads=[load])

    assert on_it(True) == [("feeder.neutral", "FAILS")]
    assert on_it(None) == [("feeder.neutral", "CANNOT_TELL")] and on_it(False) == [("feeder.neutral", "MEETS")]


def test_the_bare_neutral_of_an_old_entrance_cable_is_no_missing_one() -> None:
    assert not _without({"type": "SEU", "conductors": 2}) and _without(
        {"type": "SEU", "conductors": 2, "ground": "wire"}
    )


def _without(feeder: dict[str, Any]) -> bool:
    panels = [{"id": "p-aa", "fed_by": "service"}, {**SUB, "feeder": feeder}]
    return bool(told(checks(facts_from({"panels": panels, "breakers": [FEEDING, inside(1)]}))))


def test_all_of_it_has_words_in_both_languages() -> None:
    further = {"id": "p-cc", "fed_by": "b-02", "feeder": {"conductors": 3}}
    panels = [{"id": "p-aa", "fed_by": "service"}, SUB, further]
    facts = facts_from({"panels": panels, "breakers": [FEEDING, inside(2), inside(1, "b-03", "p-cc")]})
    for language in LANGUAGES:
        texts = [Catalog(language, strict=True).say(check.say) for check in checks(facts)]
        assert texts and all("p-cc" in text and "[" not in text for text in texts)
