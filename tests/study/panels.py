"""Panels: random realistic ones of every size, the whole curve, by both solvers against each other, with their times.

Seeds are 0, 1, 2 ... of `realistic_case`; every layout is judged, counted and worked in order once more. A look at a
few of them, printed and not written: `python -m tests.study.panels 3`.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field

from deadfront.app.panel_race import race
from deadfront.panel.rules.judge import judge, moves, worst_apart
from deadfront.panel.solve.cpsat import solve_cpsat
from deadfront.panel.solve.curve import LIMITS, alone, curve, fewest_moves, right
from deadfront.panel.solve.linear import Linear, Solved
from deadfront.results.panel import CurvePoint, PanelCase
from tests.panel.made import realistic_case
from tests.panel.test_order import worked
from tests.study import panel_clashes

PANELS = 100
SIZES: tuple[tuple[str, int, bool | None], ...] = (
    ("20", 20, None), ("30", 30, None), ("30, full to the last space", 30, True), ("42", 42, None), ("60", 60, None),
)  # fmt: skip
FROM = 20
"""2 A: from here on up a point is to be proven within the time [0.1 A]."""
HEAD = """## Panels

{count} random realistic panels of each size (seeds 0 to {last}): two-pole loads, pairs that share a neutral, breakers
that stay, controllable ones, half-size spaces, spaces kept for a source, new circuits, one to four times at which
currents flow. Legs within 10, 5, 3, 2 and 1 A, HiGHS and CP-SAT against each other with at most 10 s for a point, on
two cores. *settled*: fewest moves proven, or proven impossible. Every layout passed the judge, its moves were counted
and worked in order again.

Seconds: of a point of 2 A and more, at the 90th and the 95th of a hundred; of a whole curve, at the 95th. The judge:
the middle of its times, in milliseconds.

| spaces | panels | none within 1 A | points, 2 A and more | settled | seconds | curve, s | 1 A settled | judge, ms |
|---|---|---|---|---|---|---|---|---|"""


@dataclass
class Seen:
    """What was seen of the panels of one size.

    Args:
        points, settled: Of 2 A and more, and how many of them are settled.
        seconds: Time of each of these; `curves`: of each whole curve; `judging`: of one judgment.
        narrow, narrow_settled: Points of 1 A.
        impossible: Panels that are proven to have no layout within 1 A.
        unsettled: Seed, limit and gap of what is open.
    """

    points: int = 0
    settled: int = 0
    narrow: int = 0
    narrow_settled: int = 0
    impossible: int = 0
    seconds: list[float] = field(default_factory=list)
    curves: list[float] = field(default_factory=list)
    judging: list[float] = field(default_factory=list)
    unsettled: list[str] = field(default_factory=list)


def share(values: Sequence[float], hundredth: int) -> float:
    """The value that so many of a hundred do not pass."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, -(-len(ordered) * hundredth // 100) - 1)]


def again(case: PanelCase, point: CurvePoint) -> None:
    """Judge, count, measure and work a layout once more."""
    from deadfront.panel.rules.order import ordered

    if point.layout is None:
        return
    layout = dict(point.layout)
    assert right(case, layout) and moves(case, layout) == point.moves
    assert worst_apart(case, layout) == point.apart_tenths and (point.apart_tenths or 0) <= point.limit_tenths
    assert worked(case, ordered(case, layout)) == layout


def look(spaces: int, full: bool | None, seeds: range) -> Seen:
    """The curves of the panels of one size."""
    seen = Seen()
    for seed in seeds:
        case = realistic_case(spaces, seed, full)
        start = time.perf_counter()
        judge(case, case.found())
        seen.judging.append(time.perf_counter() - start)
        begun = before = time.perf_counter()
        for point in curve(case, LIMITS, 10.0, race()):
            now = time.perf_counter()
            again(case, point)
            settled = point.status in ("proven", "impossible")
            if point.limit_tenths >= FROM:
                seen.points += 1
                seen.settled += settled
                seen.seconds.append(now - before)
            else:
                seen.narrow += 1
                seen.narrow_settled += settled
                seen.impossible += point.status == "impossible"
            if not settled:
                gap = "none found" if point.moves is None else f"gap {point.gap}"
                seen.unsettled.append(f"seed {seed}, {point.limit_tenths // 10} A ({gap})")
            before = time.perf_counter()
        seen.curves.append(time.perf_counter() - begun)
    return seen


def line(name: str, seen: Seen) -> str:
    """One row of the table."""
    return (
        f"| {name} | {len(seen.curves)} | {seen.impossible} | {seen.points} | {seen.settled} "
        f"({100 * seen.settled / seen.points:.1f} %) | {share(seen.seconds, 90):.1f} and "
        f"{share(seen.seconds, 95):.1f} | {share(seen.curves, 95):.1f} | {seen.narrow_settled} of {seen.narrow} | "
        f"{1000 * share(seen.judging, 50):.2f} |"
    )


@dataclass(frozen=True)
class Aim:
    """A figure that is to be kept.

    Args:
        spaces: Of the panels.
        what: In words.
        hundredth: At so many of a hundred.
        most_s: At most so long [s].
        whole: Of the whole curve; else of a point of 2 A and more, settled.
    """

    spaces: str
    what: str
    hundredth: int
    most_s: float
    whole: bool = False

    def told(self, seen: Seen) -> str:
        """The figure, and whether it is kept: a time that ends without proof keeps nothing."""
        took = share(seen.curves if self.whole else seen.seconds, self.hundredth)
        proven = self.whole or 100 * seen.settled >= self.hundredth * seen.points
        kept = "kept" if took <= self.most_s and proven else "not kept"
        return f"| {self.spaces} | {self.what} | {self.hundredth} | {took:.1f} | {self.most_s:.0f} | {kept} |"


AIMS = (
    Aim("42", "a point of 2 A and more, settled", 95, 10.0), Aim("42", "the whole curve", 95, 30.0, whole=True),
    Aim("60", "a point of 2 A and more, settled", 90, 15.0),
)  # fmt: skip
AIMS_HEAD = """
| spaces | what | of a hundred | s | at most, s | |
|---|---|---|---|---|---|"""
AGREE_HEAD = """
Each solver alone, legs within 10 and 3 A, every fifth panel, at most 10 s: where both settle a point, they have the
same fewest moves, or both say that there is none.

| spaces | points | both settled | HiGHS alone | CP-SAT alone | they differ |
|---|---|---|---|---|---|"""


def agree(spaces: int, full: bool | None, seeds: range) -> tuple[int, int, int, int]:
    """Points, settled by both, by the one, by the other; a difference stops the study."""
    points = both = first = second = 0
    for seed in seeds:
        case = realistic_case(spaces, seed, full)
        for limit in (100, 30):
            found = [fewest_moves(case, limit, 10.0, engine) for engine in (alone, _cpsat)]
            sure = [each.status in ("proven", "impossible") for each in found]
            points, both, first, second = points + 1, both + all(sure), first + sure[0], second + sure[1]
            assert not all(sure) or found[0].moves == found[1].moves, (spaces, seed, limit, found)
    return points, both, first, second


def _cpsat(program: Linear, seconds: float) -> Solved:
    return solve_cpsat(program, seconds)


def run(out: list[str], panels: int = PANELS, small: int = panel_clashes.SMALL) -> None:
    """Every size, the aims, what is left open, both solvers alone, and panels without a layout."""
    start = time.perf_counter()
    out += HEAD.format(count=panels, last=panels - 1).splitlines()
    open_ones, aims = [], AIMS_HEAD.splitlines()
    for name, spaces, full in SIZES:
        seen = look(spaces, full, range(panels))
        out.append(line(name, seen))
        aims += [aim.told(seen) for aim in AIMS if aim.spaces == name]
        _progress(start, out[-1])
        if seen.unsettled:
            open_ones.append(f"- {name} spaces: {', '.join(seen.unsettled)}")
    out += [*aims, "", "Not settled within the time:", "", *(open_ones or ["- none"])]
    out += AGREE_HEAD.splitlines()
    for name, spaces, full in SIZES:
        points, both, first, second = agree(spaces, full, range(0, panels, 5))
        out.append(f"| {name} | {points} | {both} | {first} | {second} | 0 |")
        _progress(start, out[-1])
    panel_clashes.by_trying(out, small)
    _progress(start, out[-1])
    count = min(panel_clashes.LARGE, panels)
    out += panel_clashes.LARGE_HEAD.format(count=count).splitlines()
    for spaces in (20, 30, 42, 60):
        told = panel_clashes.by_solver(spaces, range(count))
        took = share(told.seconds, 95)
        out.append(
            f"| {spaces} | {told.panels} | {told.none} | {told.rules} | {told.confirmed} of {told.none} | {took:.1f} |"
        )
        _progress(start, out[-1])


def _progress(start: float, what: str) -> None:
    print(f"{time.perf_counter() - start:6.0f} s  {what}", flush=True)


if __name__ == "__main__":
    few = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    begun, lines = time.perf_counter(), list[str]()
    run(lines, few, 10 * few)
    print("\n".join(lines))
    whole = (time.perf_counter() - begun) * PANELS / few
    print(f"\nNot written. All {PANELS} panels of each size would take about {whole / 60:.0f} minutes here.")
