"""The fewest moves for a panel, asked for: the curve point by point, the moves in order, or the rules that clash."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from deadfront.app.panel_race import Stopped, race
from deadfront.errors import NotAllowed
from deadfront.job.edit import Edit
from deadfront.job.edits import Add, AddStep, Move, SetInStep, TakeOut
from deadfront.job.house import HouseAt
from deadfront.msg import Msg, said
from deadfront.panel.rules.order import ordered
from deadfront.panel.solve.curve import LIMITS, SECONDS, clashing, curve, near_each_other
from deadfront.panel.solve.linear import Runner
from deadfront.results.panel import CurvePoint, MoveStep, PanelCase, Place
from deadfront.worksheet.check import Reach

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


def bars_search(case: PanelCase) -> Msg | None:
    """Why no layout may be searched for: a breaker is there and nobody read where; None where nothing bars it."""
    unread = tuple(each.name for each in case.pieces if each.now is None and each.reach is Reach.EXISTING)
    return said("app.panel.unread", panel=case.name, names=unread) if unread else None


def points(
    case: PanelCase, limits: Sequence[int] = LIMITS, seconds: float = SECONDS, stop: Stop = lambda: False
) -> Iterator[CurvePoint]:
    """One point for each limit as soon as it is known; a stop ends it, and what came stays.

    Raises:
        NotAllowed: the solvers are not installed, or where a breaker stands was not read.
    """
    bars = bars_search(case)
    if bars is not None:
        raise NotAllowed(bars.key, **bars.params)
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


def as_work_step(
    at: HouseAt, steps: Sequence[MoveStep], step: str, say: str, new_breaker: Callable[[], str]
) -> list[Edit]:
    """The moves as edits that add one step to the work, in the order they are worked.

    A breaker that comes in the other size is another breaker: the old one is taken out, a new one is added with what
    is known of the place and the circuit, and what hung on the old one is put on the new one.

    Args:
        at: The house that the moves were found for.
        step: Id of the new work step; `say`: what it is called.
        new_breaker: Gives an id for a breaker, never used before.
    """
    breakers = {each.id: each for each in at.house.breakers}
    edits: list[Edit] = [AddStep(id=step, say=say)]
    for each in steps:
        if each.end is None:
            continue
        place: dict[str, object] = {"spaces": list(each.end.spaces)}
        if each.end.half:
            place["half"] = each.end.half
        if not each.other_size:
            edits.append(Move(step=step, id=each.piece, fields=place))
            continue
        old, ident = breakers[each.piece], new_breaker()
        kept = old.model_dump(include={"panel", "rating_a", "poles", "role", "group", "tied_with"}, exclude_none=True)
        edits.append(TakeOut(step=step, id=old.id))
        edits.append(Add(step=step, collection="breakers", thing={**kept, "id": ident, **place}))
        edits += [SetInStep(step=step, id=circuit.id, fields={"breaker": ident})
                  for circuit in at.house.circuits if circuit.breaker == old.id]  # fmt: skip
        edits += [SetInStep(step=step, id=other.id, fields={"tied_with": ident})
                  for other in at.house.breakers if other.tied_with == old.id]  # fmt: skip
    return edits
