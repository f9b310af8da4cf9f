"""An inspector's correction notice, item by item: open until what was done stands there with photo, name and day."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.job.record_things import Correction
from deadfront.msg import said
from deadfront.results.commissioning import CorrectionAnswer
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

CHECK = "correction.item"
ANSWERED = ("done", "photo", "who", "on")
"""What answers an item, all of it."""


def corrections_of(facts: Facts) -> tuple[CorrectionAnswer, ...]:
    """Every item of every notice, in the order entered."""
    return tuple(_judged(facts, each) for each in facts.at.house.corrections)


def _judged(facts: Facts, item: Correction) -> CorrectionAnswer:
    """Nothing done does not meet; done with a part of its proof cannot be told; all of it meets."""
    lacks = tuple(key for key in ANSWERED if getattr(item, key) is None)
    name = facts.name_of(item.thing) if item.thing else None
    asks = item.asks or item.name or ""
    if item.done is None:
        outcome, key = Outcome.FAILS, "open"
    elif lacks:
        outcome, key = Outcome.CANNOT_TELL, "unproved"
    else:
        outcome, key = Outcome.MEETS, "done"
    say = said(f"check.correction.item.{key}", asks=asks, done=item.done or "")
    missing = tuple(
        Missing(facts.at.path(item, each), said(f"todo.correction.{each}", asks=asks),
                said(f"todo.how.correction.{each}")) for each in lacks
    ) if key == "unproved" else ()  # fmt: skip
    return CorrectionAnswer(item.id, item.given_on, item.section or "", asks, item.thing or "", name, outcome, say,
                            missing, item.done or "", item.who or "", item.on, item.photo or "")  # fmt: skip


def correction_checks(items: tuple[CorrectionAnswer, ...]) -> Iterator[Check]:
    """One finding an item."""
    for each in items:
        yield Check(CHECK, each.id, each.outcome, Severity.CORRECT, each.say, Reach.WHOLE_JOB, None, each.missing, (),
                    said("remedy.correction.item") if each.outcome is Outcome.FAILS else None)  # fmt: skip
