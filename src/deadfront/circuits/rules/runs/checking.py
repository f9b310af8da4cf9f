"""Makes the checks of runs: the same shape for all, the words by outcome, the remedy where one is not met."""

from __future__ import annotations

from collections.abc import Iterable

from deadfront.circuits.rules.runs.case import RunCase
from deadfront.msg import Msg, said
from deadfront.quantities import Interval
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

TOUCHED = (Reach.NEW, Reach.EXTENDED, Reach.REPLACED)
WORDS = {Outcome.MEETS: "meets", Outcome.FAILS: "fails", Outcome.CANNOT_TELL: "cannot_tell",
         Outcome.NOT_APPLICABLE: "not_applicable"}  # fmt: skip
OWN_REMEDY = {("circuit.conductor", "fails_load"), ("feeder.conductor", "fails_load")}
_ORDER = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS)


def touched(case: RunCase) -> bool:
    """Whether the work touches the run or its breaker."""
    return case.reach in TOUCHED


def verdict(
    case: RunCase, ident: str, outcome: Outcome, severity: Severity = Severity.CORRECT, *, which: str = "",
    step: Step | None = None, missing: Iterable[Missing] = (), cites: Iterable[Cite] = (), **params: object,
) -> Check:  # fmt: skip
    """One check of a run; `which` names its words where the outcome alone does not."""
    say = said(f"check.{ident}.{which or WORDS[outcome]}", name=case.said_name, **params)
    own = f"{ident}_{which}" if (ident, which) in OWN_REMEDY else ident
    remedy = said(f"remedy.{own}") if outcome is Outcome.FAILS else None
    return Check(ident, case.of, outcome, severity, say, case.reach, step, tuple(missing), tuple(cites), remedy)


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """Not met before not known before met."""
    found = tuple(outcomes)
    return next((each for each in _ORDER if each in found), Outcome.NOT_APPLICABLE)


def size_of(case: RunCase) -> Msg:
    """The conductors in place, said: "8 aluminum"."""
    metal = said(f"metal.{case.cable.metal}") if case.cable.metal else said("run.metal_unknown")
    return said("run.size", size=case.cable.size or "", metal=metal)


def shown(step: Step | None) -> Interval | Msg:
    """A figure, or that it is not known."""
    return said("number.unknown") if step is None else step.value
