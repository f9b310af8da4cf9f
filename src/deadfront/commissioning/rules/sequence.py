"""The energizing sequence: what comes after what, and when to stop."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.msg import said
from deadfront.results.commissioning import SequenceStep, TestAnswer, TorqueAnswer
from deadfront.worksheet.check import Outcome, Severity

ORDER: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("dead", ("dead",)), ("inspected", ("visual",)), ("breakers_open", ("breakers_open",)), ("dead_tests", ("no_short",
    "neutral_ground", "insulation")), ("utility_on", ("service_voltage",)), ("main_closed", ("bus_voltage",)),
    ("neutral", ("neutral_step",)), ("multiwire", ("multiwire",)), ("two_pole", ("circuits_on",)), ("branch",
    ("polarity",)), ("protection", ("ground_fault", "arc_fault")), ("loaded", ("loaded_voltage", "radio")), ("sources",
    ("backfeed", "engine_start", "utility_loss")), ("transfer", ("transfer",)), ("shed", ("shed",)),
)  # fmt: skip
WELL = (Outcome.MEETS, Outcome.NOT_APPLICABLE)


def sequence_of(tests: Sequence[TestAnswer], torques: Sequence[TorqueAnswer]) -> tuple[SequenceStep, ...]:
    """Every step with where it stands: a step waits for all before it; a failure stops all after it."""
    found: list[SequenceStep] = []
    state = "done"
    for key, kinds in ORDER:
        own = [each for each in tests if each.test in kinds and each.stage == "as left"]
        terminals = list(torques) if key == "inspected" else []
        if not own and not terminals:
            continue
        answers: list[TestAnswer | TorqueAnswer] = [*own, *terminals]
        bad = any(_stops(each) for each in answers)
        done = all(each.outcome in WELL or (each.outcome is Outcome.FAILS and not _stops(each))
                   for each in answers)  # fmt: skip
        if state == "done" and not done:
            state = "stopped" if bad else "next"
            found.append(_step(key, own, state))
            state = "stopped" if bad else "waits"
            continue
        found.append(_step(key, own, state))
    return tuple(found)


def _stops(answer: TestAnswer | TorqueAnswer) -> bool:
    return answer.outcome is Outcome.FAILS and answer.severity is not Severity.NOTE


def _step(key: str, tests: Sequence[TestAnswer], state: str) -> SequenceStep:
    return SequenceStep(key, tuple((each.test, each.thing) for each in tests), state,
                        said(f"commission.stop.{key}"))  # fmt: skip
