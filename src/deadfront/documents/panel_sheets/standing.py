"""What a layout is told as: what is wrong with it apart from what is only not known or not chosen yet."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.results.panel import PanelResult, Violation
from deadfront.worksheet.check import Outcome

NOT_LISTED = "panel.told.breakers_open"
"""Said of a panel while nobody says that every breaker is entered."""
WAITING = "unplaced"
"""A breaker without a space: its space was not read yet, or is chosen later. Nothing is wrong with it until then."""


def wrong_of(violations: Sequence[Violation]) -> tuple[Violation, ...]:
    """What is wrong, without the breakers that only have no space yet."""
    return tuple(each for each in violations if each.kind != WAITING)


def waiting_of(violations: Sequence[Violation]) -> tuple[Violation, ...]:
    """Breakers that have no space yet."""
    return tuple(each for each in violations if each.kind == WAITING)


def layout_stands(result: PanelResult) -> Outcome:
    """Whether every breaker stands where it may; cannot tell while a space, the list or the label is open."""
    if result.case is None:
        return Outcome.CANNOT_TELL
    listed = all(each.key != NOT_LISTED for each in result.case.told)
    if wrong_of(result.violations):
        return Outcome.FAILS
    known = listed and not waiting_of(result.violations) and not result.layout_open
    return Outcome.MEETS if known else Outcome.CANNOT_TELL
