"""The fewest moves for a panel, asked for: the curve point by point, the moves in order, or the rules that clash."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from deadfront.app.panel_race import Stopped, race
from deadfront.msg import Msg
from deadfront.panel.rules.order import ordered
from deadfront.panel.solve.curve import LIMITS, SECONDS, clashing, curve, near_each_other
from deadfront.panel.solve.linear import Runner
from deadfront.results.panel import CurvePoint, MoveStep, PanelCase, Place

Stop = Callable[[], bool]
EXTRA_MOVES = (0, 2)
"""Groups are put near each other with no more moves than needed, and with two more: a trade-off to choose from."""


@dataclass(frozen=True, slots=True)
class Grouped:
    """A layout whose groups stand nearest to each other.

    Args:
        extra: Moves beyond the fewest.
        rows: Rows between first and last of every group, summed.
        proven: Nothing nearer with so many moves.
    """

    extra: int
    rows: int
    proven: bool
    layout: tuple[tuple[str, Place], ...]


def points(
    case: PanelCase, limits: Sequence[int] = LIMITS, seconds: float = SECONDS, stop: Stop = lambda: False
) -> Iterator[CurvePoint]:
    """One point for each limit as soon as it is known; a stop ends it, and what came stays.

    Raises:
        NotAllowed: the solvers are not installed.
    """
    run = race(stop)
    try:
        yield from curve(case, limits, seconds, run)
    except Stopped:
        return


def clash(case: PanelCase, limit: int | None, seconds: float = SECONDS, stop: Stop = lambda: False) -> tuple[Msg, ...]:
    """The rules that leave no layout."""
    run: Runner = race(stop)
    try:
        return clashing(case, limit, seconds, run)
    except Stopped:
        return ()


def grouped(case: PanelCase, point: CurvePoint, seconds: float, stop: Stop = lambda: False) -> Iterator[Grouped]:
    """With the moves of a point, and with two more: the groups near each other."""
    if point.moves is None or len({p.group for p in case.pieces if p.group}) == 0:
        return
    run = race(stop)
    try:
        for extra in EXTRA_MOVES:
            found = near_each_other(case, point.limit_tenths, point.moves + extra, seconds, run)
            if found is not None:
                layout, rows, proven = found
                yield Grouped(extra, rows, proven, tuple(sorted(layout.items())))
    except Stopped:
        return


def moves_in_order(case: PanelCase, layout: Sequence[tuple[str, Place]]) -> tuple[MoveStep, ...]:
    """The steps to a layout."""
    return ordered(case, dict(layout))
