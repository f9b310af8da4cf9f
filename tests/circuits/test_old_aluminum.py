"""Old aluminum branch wiring: a hazard by its facts, with its question; never taken for copper, never a crash."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.assess import assess
from deadfront.assess.run import Assessment
from deadfront.codebook import EDITIONS, open_book
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.job.model import Job
from deadfront.worksheet.check import Outcome, Reach, Severity
from tests.circuits.runs_made import NM, checks, ends, run


def house(edition: str = "2023", rating_a: int = 15, kind: str = "NM", **cable: Any) -> Assessment:
    """An old circuit in such a cable, not touched."""
    before = {
        "service": {"system": "120/240 1ph 3w"}, "panels": [{"id": "p-aa", "fed_by": "service"}],
        "breakers": [{"id": "b-01", "panel": "p-aa", "spaces": [1], "rating_a": rating_a}],
        "circuits": [{"id": "c-01", "breaker": "b-01", "purpose": "general", "cable": {"type": kind, **cable}}],
    }  # fmt: skip
    head = {"format": 1, "name": "house", "code": {"edition": edition}, "existing": True}
    return assess(Job.model_validate({"job": head, "before": before, "work": []}), open_book(edition))


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("kind", ["NM", "NM-B", "AC", "romex-like cable"])
@pytest.mark.parametrize("size", ["12", "10"])
def test_it_is_a_hazard_with_the_question_of_its_devices(edition: str, kind: str, size: str) -> None:
    found = house(edition, kind=kind, size=size, metal="aluminum")
    hazard = next(check for check in found.checks if check.id == "hazard.aluminum_branch")
    assert (hazard.thing, hazard.outcome, hazard.reach) == ("c-01", Outcome.FAILS, Reach.EXISTING)
    question = next(q for q in found.circuits.questions if q.key == "aluminum_devices" and q.of == "c-01")
    for language in LANGUAGES:
        catalog = Catalog(language, strict=True)
        assert "CO/ALR" in catalog.say(question.say) and catalog.say(hazard.say)


def test_large_aluminum_is_no_such_hazard() -> None:
    assert not [c for c in house(size="6", metal="aluminum", rating_a=40).checks if c.id == "hazard.aluminum_branch"]


def test_it_is_never_taken_for_copper() -> None:
    """Hand, 240.4(D): 12 AWG aluminum 15 A, 10 AWG aluminum 25 A; as copper they would pass 20 and 30 A."""
    for size, most_a in (("12", 15), ("10", 25)):
        cable = {**NM, "type": "NM", "size": size, "metal": "aluminum", "insulation_c": 60}
        over = checks(cable, {15: 20, 25: 30}[most_a], new=False, purpose="general")["circuit.conductor"]
        assert (over.outcome, over.severity) == (Outcome.FAILS, Severity.DANGER)
        assert "circuit.conductor" not in checks(cable, most_a, new=False, purpose="general")


def test_a_metal_nobody_read_is_both() -> None:
    """Hand, 60 C: 12 AWG is 15 A of aluminum, 20 A of copper, so a new circuit on it cannot be told."""
    cable = {"type": "NM", "size": "12", "runs": ["wall"], "terminals_c": 60, "insulation_c": 60}
    assert ends(run(cable, 20).ampacity) == (15, 20)
    found = checks(cable, 20)["circuit.conductor"]
    assert found.outcome is Outcome.CANNOT_TELL
    assert "w-01a/c-01.cable.metal" in {each.path for each in found.missing}


@pytest.mark.parametrize("size", ["14", "16", "18"])
def test_aluminum_that_is_not_made_was_read_wrong(size: str) -> None:
    """Table 310.16 has no ampacity of aluminum below 12 AWG."""
    for new in (True, False):
        found = checks({**NM, "size": size, "metal": "aluminum"}, 15, new=new)["circuit.device"]
        assert found.outcome is Outcome.FAILS and found.say.params["least"] == "12"
        for language in LANGUAGES:
            catalog = Catalog(language, strict=True)
            assert "c-01.cable.size" in catalog.say(found.say) and catalog.say(found.remedy)
