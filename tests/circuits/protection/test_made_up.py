"""Houses made up at random: never a crash, never a finding without its facts or its remedy, the same answer twice."""

from __future__ import annotations

import copy
import random
from typing import Any

import pytest

from deadfront.circuits.rules.each import protection_arc_fault, protection_ground_fault
from deadfront.circuits.rules.protect.kept import Kept
from deadfront.worksheet.check import Check, Outcome
from tests.circuits.protection.made_up import made_up
from tests.circuits.protection.test_laws import protection_checks

NO_FACT_WOULD_TELL = ("protection.evse", "protection.backfed", "protection.evse_receptacle", "protection.smoke_alarms")
"""Where the text of an edition was not found, or facts contradict each other: the finding says what to do."""


@pytest.mark.parametrize("seed", range(60))
def test_a_house_made_up(seed: int) -> None:
    checks = protection_checks(made_up(seed))
    assert len(checks) > 5
    for check in checks:
        told = check.outcome is not Outcome.CANNOT_TELL
        assert not (told and check.missing), check
        assert told or check.missing or check.id in NO_FACT_WOULD_TELL, check
        assert check.outcome is not Outcome.FAILS or check.remedy is not None, check
    assert [(c.id, c.thing, c.outcome, c.say) for c in checks] == [
        (c.id, c.thing, c.outcome, c.say) for c in protection_checks(made_up(seed))
    ]


def less(data: dict[str, Any], seed: int) -> dict[str, Any]:
    """The same job with one fact fewer, of a circuit, a breaker or an outlet."""
    chance, changed = random.Random(seed), copy.deepcopy(data)
    house = chance.choice([changed["before"], changed["work"][0]["add"]])
    things = [each for name in ("circuits", "breakers", "outlets") for each in house[name] if len(each) > 1]
    if things:
        thing = chance.choice(things)
        del thing[chance.choice([field for field in thing if field != "id"])]
    return changed


def plain(checks: list[Check]) -> list[tuple[Any, ...]]:
    """All of the checks that can be compared."""
    return [
        (c.id, c.thing, c.outcome, c.severity, c.say, c.reach, c.step and c.step.value, c.missing, c.cites, c.remedy)
        for c in checks
    ]


def test_what_is_kept_is_what_would_be_judged_anew() -> None:
    """Houses alike but for one fact follow one another: a check kept for one must not stand for another."""
    jobs = [each for seed in range(40) for each in (made_up(seed), less(made_up(seed), seed))]
    kept = [plain(protection_checks(each)) for each in jobs]
    for data, checks in zip(jobs, kept, strict=True):
        protection_arc_fault.KEPT.forget()
        protection_ground_fault.KEPT.forget()
        assert plain(protection_checks(data)) == checks
    assert sum(one != two for one, two in zip(kept[::2], kept[1::2], strict=True)) > 10  # the facts left out matter


def test_the_oldest_is_forgotten_first() -> None:
    kept, judged = Kept(most=2), []

    def judge(name: str) -> None:
        judged.append(name)

    for name in ("a", "b", "a", "c", "b", "a"):
        kept.of((name,), lambda name=name: judge(name))  # type: ignore[misc]
    assert judged == ["a", "b", "c", "a"]  # hand: "c" puts "a" out; "b" is still there
