"""The grounding sheet and the findings say the same: what does not meet is a finding, or a rule of today alone."""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import pytest

from deadfront.assess import assess
from deadfront.circuits.rules.service.required import CHECKED_BY
from deadfront.codebook import EDITIONS, open_book
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.documents.circuit_sheets.grounding import _answer, grounding_table
from deadfront.job.house import house_at
from deadfront.job.model import Job
from deadfront.worksheet.check import Outcome, Reach
from deadfront.worksheet.sheet import Verdict
from tests.circuits.service.test_learning import TOUCH
from tests.circuits.service.test_words import house

HOUSES = 60
SMALL = {  # 2/0 copper asks for a 4 AWG copper electrode conductor; 8 AWG was enough when the service was smaller
    "service": {"system": "120/240 1ph 3w", "conductors": {"size": "2/0", "metal": "copper", "neutral_size": "2/0"},
                "grounding": {"conductor_size": "8", "conductor_metal": "copper", "bonding_jumper": "yes",
                              "bonding_jumper_kind": "screw"}},
    "panels": [{"id": "p-aa", "fed_by": "service"}],
}  # fmt: skip


def job(before: dict[str, Any], edition: str = "2023", **work: Any) -> Job:
    head = {"format": 1, "name": "house", "code": {"edition": edition}, "existing": True}
    steps = [{"id": "w-01a", "say": "work", **work}] if work else []
    return Job.model_validate({"job": head, "before": before, "work": steps})


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_line_that_does_not_meet_is_a_finding_or_is_not_asked(edition: str) -> None:
    chance, seen = random.Random(int(edition)), Counter[bool]()
    for _ in range(HOUSES):
        work = {"set": TOUCH} if chance.random() < 0.5 else {}
        found = assess(job(house(chance), edition, **work), open_book(edition))
        fails = {(check.id, check.thing) for check in found.checks if check.outcome is Outcome.FAILS}
        for line in found.circuits.grounding:
            if line.outcome is not Outcome.FAILS:
                continue
            seen[line.asked] += 1
            told = any((ident, line.of) in fails for ident in CHECKED_BY[line.subject])
            assert told == line.asked, (line.subject, line.of, line.reach)
    assert seen[True] and seen[False]


def test_an_untouched_house_has_a_rule_of_today_and_no_finding() -> None:
    found = assess(job(SMALL), open_book("2023"))
    line = next(each for each in found.circuits.grounding if each.subject == "electrode_conductor")
    assert (line.outcome, line.asked, line.reach) == (Outcome.FAILS, False, Reach.EXISTING)
    assert not any(check.id == "grounding.electrode_conductor" for check in found.checks)
    at = house_at(job(SMALL))
    stands = [row[-1] for row in grounding_table(at, found.circuits).rows]
    assert all(isinstance(each, Verdict) and each.outcome is not Outcome.FAILS for each in stands)
    for language in LANGUAGES:
        catalog = Catalog(language, strict=True)
        answer = _answer(found.circuits)
        assert answer.outcome is Outcome.NOT_APPLICABLE and "1" in catalog.say(answer.answer)


def test_the_same_line_is_a_finding_where_the_service_is_new() -> None:
    work = {"set": {"service": {"disconnect": {"rating_a": 200}}}}
    found = assess(job(SMALL, **work), open_book("2023"))
    line = next(each for each in found.circuits.grounding if each.subject == "electrode_conductor")
    assert line.asked and line.outcome is Outcome.FAILS
    assert any(c.id == "grounding.electrode_conductor" and c.outcome is Outcome.FAILS for c in found.checks)
    assert _answer(found.circuits).outcome is Outcome.FAILS


def test_a_hazard_is_a_finding_though_nobody_touches_it() -> None:
    """No main bonding jumper at all: the line fails, and so says the list of findings."""
    before = {**SMALL, "service": {**SMALL["service"], "grounding": {"bonding_jumper": "no"}}}
    found = assess(job(before), open_book("2023"))
    line = next(each for each in found.circuits.grounding if each.subject == "main_bonding_jumper")
    assert line.outcome is Outcome.FAILS and line.asked and line.reach is Reach.EXISTING
