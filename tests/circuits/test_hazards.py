"""Hazards of old houses: recorded with their evidence, left with who was told, or shown by the facts alone."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.circuits.rules.each import hazards as rule
from deadfront.codebook import EDITIONS
from deadfront.codebook.data_files import data
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.documents.findings import finding_text
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.circuits.site_house import CHARGER, PLAIN, facts, one

FULL = {"thing": "p-m1", "evidence": "Brown stab at space 7", "photo": "ph-07", "action": "Bus replaced"}


def found(edition: str = "2023", **changed: Any) -> list[Check]:
    """The hazards of a plain house with something changed."""
    return list(rule.checks(facts(PLAIN, edition=edition, **changed)))


def recorded(kind: str, **fields: Any) -> list[Check]:
    """The checks of one recorded hazard."""
    return found(hazards=[{"id": "h-01", "kind": kind, **fields}])


def test_a_plain_house_has_none() -> None:
    assert found() == []


@pytest.mark.parametrize("kind", data().hazards)
def test_every_kind_is_recorded_and_said_in_each_edition_and_language(kind: str) -> None:
    for edition in EDITIONS:
        checks = found(edition, hazards=[{"id": "h-01", "kind": kind}])
        check = one(checks, f"hazard.{kind}", "h-01")
        assert check.id in rule.IDS
        assert (check.outcome, check.severity.value) == (Outcome.FAILS, data().hazards[kind]["severity"])
        for language in LANGUAGES:
            for each in checks:
                text = finding_text(each, Catalog(language, strict=True))
                assert "[" not in text.say + " ".join(text.more)


def test_what_a_hazard_lacks_is_asked_for_one_by_one() -> None:
    check = one(recorded("scorched_bus"), "hazard.evidence", "h-01")
    assert (check.outcome, check.severity) == (Outcome.CANNOT_TELL, Severity.CORRECT)
    assert [m.path.partition(".")[2] for m in check.missing] == ["thing", "evidence", "photo", "action", "done"]
    some = one(recorded("scorched_bus", thing="p-m1", evidence="Brown"), "hazard.evidence", "h-01")
    assert [m.path for m in some.missing] == ["before/h-01.photo", "before/h-01.action", "before/h-01.done"]
    assert "Photograph stab" in Catalog("en", strict=True).say(some.say)


@pytest.mark.parametrize(
    ("kind", "done", "action", "outcome", "severity"),
    [
        ("scorched_bus", True, "Bus replaced", Outcome.MEETS, Severity.DANGER),
        ("scorched_bus", False, "Owner told May 12", Outcome.FAILS, Severity.DANGER),  # danger is not written away
        ("scorched_bus", False, None, Outcome.FAILS, Severity.DANGER),
        ("knob_and_tube", True, "Taken out", Outcome.MEETS, Severity.CORRECT),
        ("knob_and_tube", False, "Owner told May 12", Outcome.FAILS, Severity.NOTE),
        ("knob_and_tube", False, None, Outcome.FAILS, Severity.CORRECT),
        ("knob_and_tube", None, "Owner told May 12", Outcome.FAILS, Severity.CORRECT),  # left, or not done yet?
    ],
)
def test_done_left_or_open(
    kind: str, done: bool | None, action: str | None, outcome: Outcome, severity: Severity
) -> None:
    fields = {**FULL, "done": done, "action": action}
    checks = recorded(kind, **{name: value for name, value in fields.items() if value is not None})
    check = one(checks, f"hazard.{kind}", "h-01")
    assert (check.outcome, check.severity) == (outcome, severity)
    whole = done is not None and action is not None
    evidence = one(checks, "hazard.evidence", "h-01")
    assert evidence.outcome is (Outcome.MEETS if whole else Outcome.CANNOT_TELL)
    if outcome is Outcome.FAILS and action and done is False:
        assert "Owner told May 12" in Catalog("en", strict=True).say(check.say)


def test_a_kind_that_is_not_on_the_list_is_told_with_the_nearest() -> None:
    check = one(recorded("knob_tube", **FULL), "hazard.unknown_kind", "h-01")
    assert (check.outcome, check.severity) == (Outcome.FAILS, Severity.CORRECT)
    assert 'The nearest is "knob_and_tube"' in Catalog("en", strict=True).say(check.say)
    assert "h-01.kind" in Catalog("es", strict=True).say(check.say)
    far = one(recorded("zzzz"), "hazard.unknown_kind", "h-01")
    assert "nearest" not in Catalog("en", strict=True).say(far.say)


def test_where_a_hazard_is_is_said() -> None:
    say = {
        place: Catalog("en", strict=True).say(one(recorded("other", **at), "hazard.other", "h-01").say)
        for place, at in (("Main panel", {"thing": "p-m1"}), ("at the service", {"thing": "service"}),
                          ("in the house", {"thing": "house"}), ("place not said", {}), ("u-01", {"thing": "u-01"}))
    }  # fmt: skip
    assert [place for place, text in say.items() if place not in text] == []


# --- shown by the facts ---------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("collection", "fields", "kind"),
    [
        ("breakers", {"conductors_on_it": 2, "two_allowed": False}, "double_tap"),
        ("breakers", {"listed_for_panel": False}, "breaker_not_listed"),
        ("circuits", {"cable": {"metal": "aluminum", "size": "12"}}, "aluminum_branch"),
        ("circuits", {"cable": {"metal": "aluminum", "size": "10"}}, "aluminum_branch"),
        ("circuits", {"cable": {"type": "Knob and tube"}}, "knob_and_tube"),
        ("panels", {"fuses": True}, "fuse_panel"),
    ],
)
def test_facts_that_show_a_hazard(collection: str, fields: dict[str, Any], kind: str) -> None:
    first, *rest = PLAIN[collection]
    things = {collection: [{**first, **fields}, *rest]}
    check = one(found(**things), f"hazard.{kind}", first["id"])
    assert check.outcome is Outcome.FAILS
    assert "Record it as a hazard" in " ".join(finding_text(check, Catalog("en", strict=True)).more)
    written = found(**things, hazards=[{"id": "h-01", "kind": kind, "thing": first["id"]}])
    assert [c.thing for c in written if c.id == f"hazard.{kind}"] == ["h-01"], "told twice"


@pytest.mark.parametrize(
    ("collection", "fields"),
    [
        ("breakers", {"conductors_on_it": 2, "two_allowed": True}),
        ("breakers", {"conductors_on_it": 1}),
        ("breakers", {"listed_for_panel": True}),
        ("circuits", {"cable": {"metal": "aluminum", "size": "8"}}),
        ("circuits", {"cable": {"metal": "copper", "size": "12"}}),
        ("panels", {"fuses": False}),
    ],
)
def test_facts_that_show_none(collection: str, fields: dict[str, Any]) -> None:
    first, *rest = PLAIN[collection]
    assert found(**{collection: [{**first, **fields}, *rest]}) == []


def test_two_conductors_without_the_marking_read_are_not_judged() -> None:
    first, *rest = PLAIN["breakers"]
    check = one(found(breakers=[{**first, "conductors_on_it": 2}, *rest]), "hazard.double_tap", "b-01")
    assert (check.outcome, check.severity) == (Outcome.CANNOT_TELL, Severity.NOTE)
    assert [m.path for m in check.missing] == ["before/b-01.two_allowed"]


def test_a_bootleg_ground_says_that_the_plain_tester_passes_it() -> None:
    """EC&M, Failures in Outlet Testing Exposed, July 2013: three-light testers pass a bootleg ground."""
    for language, words in (("en", "three-light tester passes it"), ("es", "probador de tres luces la da por buena")):
        assert words in Catalog(language, strict=True).key("hazard.bootleg_ground.how")


@pytest.mark.parametrize(("kind", "thing"), [("obsolete_panel", "p-m1"), ("split_bus", "p-m1")])
@pytest.mark.parametrize("done", [True, False])
def test_what_still_stands_is_not_over_by_telling_the_owner(kind: str, thing: str, done: bool) -> None:
    told = {"id": "h-01", "kind": kind, **FULL, "thing": thing, "action": "Owner told", "done": done}
    alone = one(found(hazards=[told]), f"hazard.{kind}", "h-01")
    assert (alone.outcome, alone.severity) == (Outcome.FAILS, Severity.NOTE)
    with_charger = one(rule.checks(facts(PLAIN, CHARGER, hazards=[told])), f"hazard.{kind}", "h-01")
    assert (with_charger.outcome, with_charger.severity) == (Outcome.FAILS, Severity.CORRECT)
    assert "never add to it" in Catalog("en", strict=True).say(with_charger.say)


def test_a_panel_that_is_taken_out_is_put_right() -> None:
    told = {"id": "h-01", "kind": "obsolete_panel", **FULL, "done": True, "action": "Replaced"}
    step = {"id": "w-02", "say": "Panel", "remove": ["p-m1"], "add": {"panels": [{"id": "p-m2", "fed_by": "service"}]}}
    bare = {**PLAIN, "breakers": [], "circuits": []}
    assert one(rule.checks(facts(bare, hazards=[told])), "hazard.obsolete_panel", "h-01").outcome is Outcome.FAILS
    assert one(rule.checks(facts(bare, step, hazards=[told])), "hazard.obsolete_panel", "h-01").outcome is Outcome.MEETS


def test_old_open_wiring_said_to_be_taken_out_but_on_file_is_not_over() -> None:
    told = {"id": "h-01", "kind": "knob_and_tube", **FULL, "thing": "c-01", "done": True}
    old = [{"id": "c-01", "breaker": "b-01", "cable": {"type": "K&T"}}]
    assert one(found(hazards=[told], circuits=old), "hazard.knob_and_tube", "h-01").outcome is Outcome.FAILS
    assert one(found(hazards=[told]), "hazard.knob_and_tube", "h-01").outcome is Outcome.MEETS


@pytest.mark.parametrize("written", ["K&T", "k & t", "knob and tube", "Knob-and-tube"])
def test_old_open_wiring_is_known_however_it_is_written(written: str) -> None:
    circuits = [{"id": "c-01", "breaker": "b-01", "cable": {"type": written}}]
    assert one(found(circuits=circuits), "hazard.knob_and_tube", "c-01").outcome is Outcome.FAILS


def test_evidence_names_the_hazard_not_its_id() -> None:
    check = one(recorded("scorched_bus", thing="p-m1"), "hazard.evidence", "h-01")
    for language in LANGUAGES:
        assert "h-01" not in Catalog(language, strict=True).say(check.say)
