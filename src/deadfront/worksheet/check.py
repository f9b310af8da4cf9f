"""A Check: one rule held against one thing, with four outcomes; cannot tell is never a pass."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from deadfront.msg import Msg
from deadfront.quantities import Interval
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


class Outcome(Enum):
    """What a Check found."""

    MEETS = "meets"
    FAILS = "does not meet"
    NOT_APPLICABLE = "does not apply"
    CANNOT_TELL = "cannot tell"


class Severity(Enum):
    """How bad a Check not met is."""

    DANGER = "danger"
    CORRECT = "correct"
    NOTE = "note"


class Reach(Enum):
    """What a rule reaches: an old house does not drown in today's rules."""

    NEW = "new work"
    EXTENDED = "extended"
    REPLACED = "replaced"
    EXISTING = "existing hazard"
    WHOLE_JOB = "whole job"


@dataclass(frozen=True, slots=True)
class Check:
    """One rule held against one thing.

    Args:
        id: Stable, dotted, such as "load.service_carries"; has a help page of the same name.
        thing: Id of the thing in the job, "service", or "" for the whole job.
        outcome: What was found.
        severity: How bad, if not met.
        say: The finding in words.
        reach: What the rule reaches.
        step: The figure it rests on, if any.
        missing: The facts that would let it tell.
        cites: Where the rule stands.
        remedy: What to do when it is not met.
    """

    id: str
    thing: str
    outcome: Outcome
    severity: Severity
    say: Msg
    reach: Reach = Reach.WHOLE_JOB
    step: Step | None = None
    missing: tuple[Missing, ...] = ()
    cites: tuple[Cite, ...] = ()
    remedy: Msg | None = None

    @property
    def is_finding(self) -> bool:
        """True where it is not met or cannot tell."""
        return self.outcome in (Outcome.FAILS, Outcome.CANNOT_TELL)


def at_most(value: Interval, limit: Interval) -> Outcome:
    """Whether a value stays within a limit: meets only if the whole range does, fails only if none of it does."""
    if value.high is not None and value.high <= limit.low:
        return Outcome.MEETS
    if limit.high is not None and value.low > limit.high:
        return Outcome.FAILS
    return Outcome.CANNOT_TELL
