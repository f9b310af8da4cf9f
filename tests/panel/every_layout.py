"""Every layout of a small panel, tried one after another: the slow, plain way, against which the solvers are held."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from deadfront.panel.rules.judge import judge, moves, worst_apart
from deadfront.panel.solve.curve import NO_LAYOUT_ENDS
from deadfront.results.panel import Layout, PanelCase, Piece, Place


def places(case: PanelCase, piece: Piece, passed: Sequence[str] = NO_LAYOUT_ENDS) -> list[Place]:
    """Every place of a breaker that the judge passes when it is looked at alone."""
    numbers = range(1, case.spaces + 1)
    if piece.poles == 2:
        tried = [Place((a, b)) for a in numbers for b in numbers if a < b]
    else:
        tried = [Place((space,), half) for space in numbers for half in ("", "a", "b")]
    if piece.now is not None and piece.now not in tried:
        tried.append(piece.now)
    alone = replace(case, pieces=tuple(replace(each, partner="", body="", neutral="") for each in case.pieces))
    return [place for place in tried if all(v.kind in ("unplaced", *passed) for v in judge(alone, {piece.id: place}))]


def every_layout(case: PanelCase, passed: Sequence[str] = NO_LAYOUT_ENDS) -> Iterator[dict[str, Place]]:
    """Every layout that the judge passes, those kinds of violation not counted."""
    options = [places(case, piece, passed) for piece in case.pieces]

    def go(index: int, layout: dict[str, Place], taken: frozenset[tuple[int, str]]) -> Iterator[dict[str, Place]]:
        if index == len(case.pieces):
            if all(wrong.kind in passed for wrong in judge(case, layout)):
                yield dict(layout)
            return
        for place in options[index]:
            slots = {(space, half) for space in place.spaces for half in place.half or "ab"}
            if not slots & taken:
                layout[case.pieces[index].id] = place
                yield from go(index + 1, layout, taken | slots)
                del layout[case.pieces[index].id]

    yield from go(0, {}, frozenset())


def spread(case: PanelCase, layout: Layout) -> int:
    """Rows between the first and the last of every group, summed."""
    total = 0
    for group in {piece.group for piece in case.pieces if piece.group}:
        rows = [case.rows[layout[p.id].spaces[0] - 1] for p in case.pieces if p.group == group]
        total += max(rows) - min(rows)
    return total


class Best:
    """What full enumeration says of a panel.

    Args:
        fewest: Fewest moves for each limit, where there is a layout.
        least_apart: Smallest difference of the legs; None where there is no layout.
        nearest: Smallest spread of the groups with the fewest moves, for each limit.
        layouts: How many layouts there are.
    """

    def __init__(self, case: PanelCase, limits: tuple[int, ...]) -> None:
        self.fewest: dict[int, int] = {}
        self.nearest: dict[int, int] = {}
        self.least_apart: int | None = None
        self.layouts = 0
        for layout in every_layout(case):
            self.layouts += 1
            apart, moved, rows = worst_apart(case, layout), moves(case, layout), spread(case, layout)
            self.least_apart = apart if self.least_apart is None else min(apart, self.least_apart)
            for limit in limits:
                best = (self.fewest.get(limit, 10**6), self.nearest.get(limit, 10**6))
                if apart <= limit and (moved, rows) < best:
                    self.fewest[limit], self.nearest[limit] = moved, rows
