"""How a rule's finding on a channel is made: its outcome, its words, its weight, what it waits for."""

from __future__ import annotations

from collections.abc import Iterable

from deadfront.job.found_things import Gear
from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

Truth = bool | None


def found(
    facts: Facts, ident: str, of: Channel | Gear, truth: Truth, word: str = "", *, waits: Iterable[Missing] = (),
    step: Step | None = None, severity: Severity | None = None, cites: Iterable[str] = (), applies: bool = True,
    **words: object,
) -> Check:  # fmt: skip
    """A check on one channel or one piece of gear.

    Args:
        truth: True meets, False fails, None cannot tell.
        word: Ending of the words' key, for one of several ways to fail, meet or not to apply.
        waits: What it waits for where it cannot tell.
        severity: Left out: to correct where the work touches the channel, else a note.
        cites: Subjects of the code book.
        applies: False: it does not apply here.
        words: More values for the words, of finding and remedy alike.
    """
    outcome = Outcome.CANNOT_TELL if truth is None else Outcome.MEETS if truth else Outcome.FAILS
    outcome = outcome if applies else Outcome.NOT_APPLICABLE
    reach = facts.reach_of(of)
    weight = severity or (Severity.NOTE if reach is Reach.EXISTING else Severity.CORRECT)
    key = f"{ident}.{outcome.name.lower()}{'_' + word if word else ''}"
    told: dict[str, object] = {"name": facts.name_of(of), **words}
    if isinstance(of, Channel):
        told = {"conductor": facts.conductor(of), "leg": of.leg or "?", **told}
    fails = outcome is Outcome.FAILS
    remedy = said(f"remedy.{ident}{'_' + word if word else ''}", **told) if fails else None
    missing = tuple({each.path: each for each in waits}.values()) if outcome is Outcome.CANNOT_TELL else ()
    return Check(ident, of.id, outcome, weight, said(f"check.{key}", **told), reach, step, missing,
                 tuple(facts.cite(each) for each in cites), remedy)  # fmt: skip
