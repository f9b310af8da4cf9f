"""What stands between a job and a signature, and the next thing to do."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass

from deadfront.assess.run import Assessment
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Outcome, Severity


@dataclass(frozen=True, slots=True)
class Standing:
    """The line on top of every page.

    Args:
        to_correct: Findings not met that must be corrected.
        to_find: Facts and named assumptions that bar a signature.
        next: The one next thing.
        path: Fact that ends it: where its button leads; "" for none.
        signable: True where nothing bars a signature.
    """

    to_correct: int
    to_find: int
    next: Msg
    path: str
    signable: bool


def standing_of(assessment: Assessment) -> Standing:
    """Counts what bars a signature; notes bar nothing."""
    barring = [c for c in assessment.checks if c.is_finding and c.severity is not Severity.NOTE]
    correct = [c for c in barring if c.outcome is Outcome.FAILS]
    unsure = [c for c in barring if c.outcome is Outcome.CANNOT_TELL]
    barred = {m.path for c in unsure for m in c.missing}
    assumed = [c for c in unsure if not c.missing]
    wanted = [f for f in assessment.to_find if f.missing.path in barred]
    count = len(barred) + len(assumed)
    if wanted:
        return Standing(
            len(correct), count, said("standing.next.find", what=wanted[0].missing.what), wanted[0].missing.path, False
        )
    if correct:
        first = correct[0]
        return Standing(len(correct), count, first.remedy or first.say, first.thing, False)
    if assumed:
        return Standing(0, count, said("standing.next.assumption", what=assumed[0].say), "", False)
    if barred:
        first_open = next(m for c in unsure for m in c.missing)
        return Standing(0, count, said("standing.next.site", count=len(barred)), first_open.path, False)
    return Standing(0, 0, said("standing.next.sign"), "", True)


def answers_of(assessment: Assessment) -> Mapping[str, str]:
    """Every answer as plain text by key, for freezing an issued revision and comparing it later."""
    load = assessment.load
    found = {"relied": load.relied, "limit": f"{load.limit.smallest.value.low} {load.limit.smallest.value.high}"}
    for method in load.methods:
        value = method.total.value if method.total is not None else None
        figures = "" if value is None else f"{value.low} {value.high}"
        found[f"method.{method.key}"] = f"{method.admissible.value}; {figures}; {method.verdict.value}"
    for check in assessment.checks:
        found[f"check.{check.id}.{check.thing}"] = check.outcome.value
    return found


def result_digest(assessment: Assessment) -> str:
    """Checksum of all answers with the code book and the engine they come from."""
    told = [dict(answers_of(assessment)), assessment.book.digest, assessment.engine]
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()
