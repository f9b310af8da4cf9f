"""Old feeders of three wires: under which conditions they may stay, told as facts and questions, never in silence."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.assess import assess
from deadfront.codebook import EDITIONS, open_book
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.job.model import Job
from deadfront.worksheet.check import Check, Outcome, Severity

SERVICE = {"system": "120/240 1ph 3w"}
MAIN = {"id": "p-aa", "fed_by": "service", "service_equipment": "yes", "neutral_joined": "yes"}
ALL = {"existing_three_wire": True, "neutral_joined": "yes", "parallel_metal": "no", "supply": "feeder"}
GARAGE = "structure.grounding_conductor"


def garage(edition: str = "2023", ahead: dict[str, Any] | None = None, feeder: dict[str, Any] | None = None,
           work: dict[str, Any] | None = None, **facts: Any) -> list[Check]:  # fmt: skip
    """What is said of the ground of an old garage on three wires: 6 AWG copper behind 60 A."""
    breaker = {"id": "b-bb", "panel": "p-aa", "role": "feeder", "rating_a": 60, "poles": 2, "protection": "plain"}
    cable = {"size": "6", "metal": "copper", "ground": "none", **(feeder or {})}
    before = {
        "service": SERVICE, "structures": [{"id": "s-aa", "fed_by": "b-bb", **facts}],
        "panels": [MAIN, {"id": "p-bb", "fed_by": "b-bb", "structure": "s-aa", "feeder": cable}],
        "breakers": [breaker | (ahead or {})],
    }  # fmt: skip
    return of(before, GARAGE, edition, work)


def of(before: dict[str, Any], ident: str, edition: str = "2023", work: dict[str, Any] | None = None) -> list[Check]:
    steps = [{"id": "w-01a", "say": "work", **work}] if work else []
    head = {"format": 1, "name": "house", "code": {"edition": edition}, "existing": True}
    job = Job.model_validate({"job": head, "before": before, "work": steps})
    return [check for check in assess(job, open_book(edition)).checks if check.id == ident]


def how(checks: list[Check]) -> list[str]:
    return [f"{check.outcome.name} {check.say.key.rpartition('.')[2]}" for check in checks]


@pytest.mark.parametrize("edition", EDITIONS)
def test_all_conditions_known_and_met(edition: str) -> None:
    """250.32(B), the exception for existing wiring: joined, no parallel path, no ground-fault trip, large neutral."""
    (check,) = garage(edition, **ALL)
    assert how([check]) == ["MEETS old_feeder"] and "250.32(B)" in check.cites[0].section


@pytest.mark.parametrize(
    ("more", "outcome", "severity"),
    [
        ({"parallel_metal": "yes"}, "FAILS parallel", Severity.DANGER),
        ({"ahead": {"protection": "ground fault"}}, "FAILS ground_fault", Severity.CORRECT),
        ({"feeder": {"neutral_size": "12"}}, "FAILS neutral_small", Severity.CORRECT),  # 60 A asks 10 copper
        ({"neutral_joined": "no"}, "FAILS no_path", Severity.DANGER),
    ],
)
def test_each_condition_that_is_broken(more: dict[str, Any], outcome: str, severity: Severity) -> None:
    (check,) = garage(**{**ALL, **more})
    assert how([check]) == [outcome] and check.severity is severity and check.remedy is not None


@pytest.mark.parametrize(
    ("more", "asked"),
    [
        ({"parallel_metal": "unknown"}, "before/s-aa.parallel_metal"),
        ({"neutral_joined": "unknown"}, "before/s-aa.neutral_joined"),
        ({"ahead": {"protection": None}}, "before/b-bb.protection"),
        ({"feeder": {"size": None}}, "before/p-bb.feeder.size"),
        ({"feeder": {"metal": None}}, "before/p-bb.feeder.metal"),
    ],
)
def test_what_is_not_known_is_a_question_that_bars_nothing(more: dict[str, Any], asked: str) -> None:
    (check,) = garage(**{**ALL, **more})
    assert how([check]) == ["CANNOT_TELL old_open"] and check.severity is Severity.NOTE
    assert asked in {each.path for each in check.missing}


def test_it_may_not_stay_where_the_work_touches_it() -> None:
    (check,) = garage(**ALL, work={"set": {"s-aa": {"disconnects": 1}}})
    assert how([check]) == ["FAILS new"] and check.severity is Severity.DANGER


def old_panel(**feeder: Any) -> list[Check]:
    """What is said of the ground of an old panel in the house itself."""
    panel = {"id": "p-bb", "fed_by": "b-bb", "feeder": {"type": "SEU", "size": "6", "metal": "copper", **feeder}}
    breaker = {"id": "b-bb", "panel": "p-aa", "role": "feeder", "rating_a": 60, "poles": 2}
    before = {"service": SERVICE, "panels": [MAIN, panel], "breakers": [breaker]}
    return of(before, "grounding.feeder_ground")


def test_an_old_panel_in_the_house() -> None:
    """No exception for old feeders inside a building: without a ground a fault to the enclosure opens nothing."""
    (open_,) = old_panel()
    assert how([open_]) == ["CANNOT_TELL old_open"] and open_.severity is Severity.NOTE
    assert [each.path for each in open_.missing] == ["before/p-bb.feeder.ground"]
    (none,) = old_panel(ground="none")
    assert how([none]) == ["FAILS fails"] and none.severity is Severity.DANGER
    assert how(old_panel(ground="wire")) == ["MEETS meets"] and old_panel(type="NM-B") == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_words(language: str) -> None:
    catalog = Catalog(language, strict=True)
    for made in (garage(**ALL), garage(existing_three_wire=True), old_panel(),
                 garage(**{**ALL, "ahead": {"protection": "both"}})):  # fmt: skip
        assert made and all("[" not in catalog.say(check.say) for check in made)
        assert all(catalog.say(m.what) and catalog.say(m.how) for check in made for m in check.missing)
        assert all(check.remedy is None or catalog.say(check.remedy) for check in made)
        assert all(check.outcome is not Outcome.CANNOT_TELL or check.missing for check in made)
