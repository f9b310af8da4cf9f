"""Notes that many runs share, told in one line with their names: a recommendation must not bury what is asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from deadfront.msg import Msg, said
from deadfront.worksheet.check import Check, Outcome, Severity

TOGETHER = ("circuit.voltage_drop",)
"""Checks whose notes are told together."""


def noted(checks: Iterable[Check]) -> tuple[Check, ...]:
    """The same findings, the notes of one kind and outcome as one, where the first of them stood."""
    found = tuple(checks)
    groups: dict[tuple[str, Outcome], list[Check]] = {}
    for check in found:
        if _shared(check):
            groups.setdefault((check.id, check.outcome), []).append(check)
    made: list[Check] = []
    for check in found:
        group = groups.get((check.id, check.outcome), []) if _shared(check) else []
        if len(group) < 2:
            made.append(check)
        elif check is group[0]:
            made.append(_one(group))
    return tuple(made)


def _shared(check: Check) -> bool:
    return check.id in TOGETHER and check.severity is Severity.NOTE and check.is_finding


def _one(group: Sequence[Check]) -> Check:
    """One check for several: their names, all that they wait for, all that they cite."""
    first = group[0]
    say = said(f"note.{first.id}.{first.outcome.name.lower()}", runs=tuple(_run(check) for check in group),
               count=len(group))  # fmt: skip
    missing = {each.path: each for check in group for each in check.missing}
    cites = dict.fromkeys(cite for check in group for cite in check.cites)
    return replace(first, thing="house", say=say, step=None, missing=tuple(missing.values()), cites=tuple(cites))


def _run(check: Check) -> Msg:
    """A run of the line: its name, with its figure where it has one that fails."""
    params = check.say.params
    if check.outcome is Outcome.FAILS and "here" in params:
        return said("note.run", run=params["thing"], here=params["here"], total=params["total"])
    return said("note.run_alone", run=params["thing"])
