"""Both solvers against full enumeration of small panels: feasibility, fewest moves, least difference, nearest groups.

Origin of every expected figure: independent (every layout tried, each judged; tests/panel/every_layout.py).
"""

from __future__ import annotations

import pytest

from deadfront.panel.solve.cpsat import solve_cpsat
from deadfront.panel.solve.curve import alone, fewest_moves, least_apart, near_each_other
from deadfront.panel.solve.linear import Linear, Runner, Solved
from deadfront.results.panel import CurvePoint, PanelCase
from tests.panel.every_layout import Best
from tests.panel.made import small_case

LIMITS = (160, 60, 20)
PANELS = 1650


def cpsat(program: Linear, seconds: float) -> Solved:
    """CP-SAT by itself."""
    return solve_cpsat(program, seconds)


RUNNERS: tuple[Runner, ...] = (alone, cpsat)


def agrees(case: PanelCase, point: CurvePoint, fewest: int | None) -> bool:
    """Whether a point says what trying every layout says; where legs add up by angles it may say less, never more."""
    if point.status in ("proven", "impossible"):
        return point.moves == fewest
    bounded = fewest is None or point.least <= fewest
    return case.by_phasors and bounded and (point.moves is None or (fewest is not None and fewest <= point.moves))


def test_both_solvers_find_what_trying_every_layout_finds(capsys: pytest.CaptureFixture[str]) -> None:
    nontrivial = infeasible = trivial = layouts = proofs = near = angles = 0
    wrong: list[str] = []
    for seed in range(PANELS):
        case = small_case(seed)
        best = Best(case, LIMITS)
        layouts += best.layouts
        moved = any(count > 0 for count in best.fewest.values())
        nontrivial += moved
        infeasible += not best.layouts
        trivial += bool(best.layouts) and not moved
        for number, run in enumerate(RUNNERS):
            for limit in LIMITS:
                point = fewest_moves(case, limit, 10, run)
                proofs += point.status in ("proven", "impossible")
                angles += point.status in ("best found", "not found")
                if not agrees(case, point, best.fewest.get(limit)):
                    wrong.append(f"{seed}: engine {number}, within {limit}: {point}, by trying {best.fewest}")
            apart, proven = least_apart(case, 10, run)
            if (apart != best.least_apart or not proven) and not (
                case.by_phasors and (apart or 0) >= (best.least_apart or 0)
            ):
                wrong.append(f"{seed}: engine {number}: least difference by trying {best.least_apart}")
        if LIMITS[0] in best.fewest and any(piece.group for piece in case.pieces):
            found = near_each_other(case, LIMITS[0], best.fewest[LIMITS[0]], 10)
            near += 1
            nearest = best.nearest[LIMITS[0]]
            if found is None or found[1:] != (nearest, True):
                if case.by_phasors and (found is None or found[1] >= nearest):
                    continue
                wrong.append(f"{seed}: groups {found and found[1:]}, by trying {best.nearest[LIMITS[0]]}")
    with capsys.disabled():
        print(f"\n{PANELS} panels: {nontrivial} need moves, {trivial} need none, {infeasible} have no layout; "
              f"{layouts} layouts tried, {proofs} proofs, {angles} without by angles, {near} with groups")  # fmt: skip
    assert wrong == []
    assert nontrivial >= 500 and infeasible >= 200 and near >= 200
