"""Things without a name are told by kind and place; notes that many runs share are told once."""

from __future__ import annotations

import re

import pytest

from deadfront.circuits.rules.each.voltage_drop import _cannot_begin
from deadfront.circuits.rules.naming import called
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.documents.circuit_sheets.common import place_name
from deadfront.documents.findings import finding_text
from deadfront.documents.notes import noted
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from tests.circuits.runs_made import NM, all_of, checks, circuit_facts, facts_from

EN = Catalog("en", strict=True)
EN_SAY = said("thing.house")
HOUSE = {
    "panels": [{"id": "p-aa", "fed_by": "service", "location": "garage"}],
    "breakers": [{"id": "b-01", "panel": "p-aa", "spaces": [5], "rating_a": 20}, {"id": "b-02", "rating_a": 30},
                 {"id": "b-03", "panel": "p-aa"}],
    "circuits": [{"id": "c-01", "breaker": "b-01"}, {"id": "c-02", "breaker": "b-02"},
                 {"id": "c-03", "breaker": "b-03", "rooms": ["kitchen", "dining"]}, {"id": "c-04"}],
    "outlets": [{"id": "o-01", "kind": "receptacle", "room": "kitchen", "circuit": "c-01"},
                {"id": "o-02", "kind": "lighting", "room": "bedroom"}, {"id": "o-03", "circuit": "c-01"}],
    "loads": [{"id": "l-01", "kind": "range", "circuit": "c-02"}, {"id": "l-02", "kind": "dryer", "name": "Old dryer"}],
    "sources": [{"id": "s-01", "kind": "generator"}], "structures": [{"id": "s-02"}],
    "hazards": [{"id": "h-01", "kind": "scorched_bus"}, {"id": "h-02", "kind": "no_such_kind"}],
}  # fmt: skip


def test_each_is_called_by_what_it_is_and_where() -> None:
    facts = facts_from(HOUSE)
    house = facts.at.house
    lists = (house.panels, house.breakers, house.circuits, house.outlets, house.loads, house.sources, house.structures,
             house.hazards)  # fmt: skip
    names = {each.id: called(facts, each) for things in lists for each in things}
    assert names.pop("c-04") is None and names.pop("b-03") is None  # nothing is known of them
    assert {ident: EN.say(name) for ident, name in names.items() if name is not None} == {
        "p-aa": "the panel in the garage", "b-01": "the 20 A breaker in 5",
        "b-02": "the 30 A breaker in the panel in the garage", "c-01": "the circuit in 5",
        "c-02": "the circuit of Range", "c-03": "the circuit of kitchen and dining room",
        "o-01": "receptacle in: kitchen, on the circuit in 5", "o-02": "lighting outlet in: bedroom",
        "o-03": "outlet on the circuit in 5", "l-01": "Range", "l-02": "Old dryer", "s-01": "the generator",
        "s-02": "the separate structure", "h-01": "hazard: scorched bus or terminals", "h-02": "hazard: other hazard",
    }  # fmt: skip


def test_no_id_in_the_sentences_of_a_circuit_that_has_a_place() -> None:
    facts = circuit_facts({**NM, "size": "14"}, 30, {"kind": "range", "nameplate_w": 9000}, breaker={"spaces": [2, 4]})
    texts = [text for check in all_of(facts) for text in (EN.say(check.say), *(EN.say(m.what) for m in check.missing))]
    assert texts and not [text for text in texts if re.search(r"\b[bclp]-0\d\b", text)]


def test_an_appliance_is_not_called_twice() -> None:
    assert "Range (Range)" not in " ".join(EN.say(c.say) for c in checks({**NM}, 50, {"kind": "range"}).values())


def drop(thing: str, outcome: Outcome) -> Check:
    facts = circuit_facts({**NM, "size": "14"}, 15)
    made = _cannot_begin(
        facts, facts.circuits["c-01"], Reach.NEW, facts.missing(facts.circuits["c-01"], "cable.length_ft")
    )
    return Check(made.id, thing, outcome, Severity.NOTE, made.say, made.reach, None, made.missing, made.cites)


@pytest.mark.parametrize("language", LANGUAGES)
def test_notes_of_many_runs_are_one_line_with_all_names(language: str) -> None:
    catalog = Catalog(language, strict=True)
    other = Check("circuit.load", "c-09", Outcome.FAILS, Severity.CORRECT, EN_SAY, Reach.NEW)
    found = noted((drop("c-01", Outcome.CANNOT_TELL), other, drop("c-02", Outcome.CANNOT_TELL)))
    assert [check.id for check in found] == ["circuit.voltage_drop", "circuit.load"]
    assert "2" in finding_text(found[0], catalog).say and found[0].missing and found[0].severity is Severity.NOTE
    assert noted((drop("c-01", Outcome.FAILS),)) == (drop("c-01", Outcome.FAILS),)


def test_what_is_asked_for_is_never_put_together() -> None:
    bad = [Check("circuit.voltage_drop", f"c-0{n}", Outcome.FAILS, Severity.CORRECT, EN_SAY, Reach.NEW) for n in (1, 2)]
    assert noted(bad) == tuple(bad)


def test_places_on_the_sheets_have_no_ids() -> None:
    facts = facts_from({
        "panels": [{"id": "p-aa", "fed_by": "service"}], "structures": [{"id": "s-01"}],
        "electrodes": [{"id": "e-01", "kind": "rod"}, {"id": "e-02", "kind": "water pipe"},
                       {"id": "e-03", "kind": "rod"}],
    })  # fmt: skip
    told = [EN.say(place_name(facts.at, ident)) for ident in ("p-aa", "s-01", "e-01", "e-02", "e-03")]
    assert told == ["the panel", "the separate structure", "rod 1", "water pipe 1", "rod 2"]


def test_a_panel_is_told_by_what_feeds_it() -> None:
    panels = [{"id": "p-aa", "fed_by": "service"}, {"id": "p-bb", "fed_by": "b-01"}, {"id": "p-cc", "fed_by": "b-02"}]
    breakers = [{"id": "b-01", "panel": "p-aa", "spaces": [1, 3], "rating_a": 60}, {"id": "b-02", "panel": "p-bb"}]
    facts = facts_from({"panels": panels, "breakers": breakers})
    told = [called(facts, panel) for panel in facts.at.house.panels]
    assert [None if each is None else EN.say(each) for each in told] == [
        "the panel fed by the service", "the panel fed by the 60 A breaker in 1 and 3", None,
    ]  # fmt: skip
