"""The fewest moves for each limit on the difference of the legs, with proof or gap; or the rules that clash.

Every layout is judged by panel.rules.judge before it is handed on. Nothing here reads a clock or starts a thread: the
runner that is handed in says how long an engine may take, and may set two of them against each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from deadfront.errors import NoSolution
from deadfront.msg import Msg, said
from deadfront.panel.rules.judge import judge, moves, worst_apart
from deadfront.panel.rules.places import KINDS, Rules, overfull
from deadfront.panel.solve.highs import solve_highs
from deadfront.panel.solve.linear import Linear, Runner, Solved
from deadfront.panel.solve.model import MOVE_COST, Model, layout_of, model_of
from deadfront.quantities import point
from deadfront.results.panel import CurvePoint, Layout, PanelCase, Place

LIMITS = (100, 50, 30, 20, 10)
"""10, 5, 3, 2 and 1 A, in tenths."""
NO_HALF_LIMIT = Rules(frozenset({"half_spaces"}))
NO_LAYOUT_ENDS = ("too_many_circuits", "not_listed", "multiwire_panel")
SECONDS = 10.0


def alone(program: Linear, seconds: float) -> Solved:
    """One engine by itself: the plain runner."""
    return solve_highs(program, seconds)


def curve(
    case: PanelCase, limits: Sequence[int] = LIMITS, seconds: float = SECONDS, run: Runner = alone
) -> Iterator[CurvePoint]:
    """One point for each limit, the widest first, each as soon as it is known.

    Args:
        limits: Largest difference of two legs [0.1 A].
        seconds: Most time for a point.
        run: Solves one program.

    Where the legs are not known nothing is searched; where a fact is open on which it depends whether a layout is
    right, nothing is called proven, for it may forbid what was found (that no layout needs fewer moves still holds).
    """
    if case.legs_open:
        yield from (CurvePoint(limit, "not found") for limit in sorted(limits, reverse=True))
        return
    for each in _curve(case, limits, seconds, run):
        yield _as_far_as_known(case, each)


def _as_far_as_known(case: PanelCase, found: CurvePoint) -> CurvePoint:
    """A point with no more said than what is known of the panel bears out."""
    if case.shape_open:
        found = replace(found, least=0)
    if found.status == "impossible" and case.shape_open:
        return replace(found, status="not found")
    if found.status == "proven" and (case.shape_open or case.places_open):
        return replace(found, status="best found")
    return found


def _curve(case: PanelCase, limits: Sequence[int], seconds: float, run: Runner) -> Iterator[CurvePoint]:
    least, last = 0, None
    for limit in sorted(limits, reverse=True):
        if last is not None and last.status == "impossible":
            yield CurvePoint(limit, "impossible")
            continue
        reused = _reused(last, limit)
        if reused is None or reused.status != "proven":
            searched = fewest_moves(case, limit, seconds, run, least)
            reused = _better(searched, reused)
        last = reused
        least = max(least, last.least)
        yield last


def _reused(last: CurvePoint | None, limit: int) -> CurvePoint | None:
    """A layout for a wider limit that keeps the narrower one serves it too; if it was the best, it still is."""
    if last is None or last.apart_tenths is None or last.apart_tenths > limit:
        return None
    return replace(last, limit_tenths=limit, seconds=0.0)


def _better(searched: CurvePoint, reused: CurvePoint | None) -> CurvePoint:
    """The point with fewer moves, with the higher of both bounds."""
    if reused is None or reused.moves is None or searched.status == "impossible":
        return searched
    best = reused if searched.moves is None or searched.moves > reused.moves else searched
    least = max(searched.least, reused.least)
    proven = best.moves is not None and least >= best.moves
    return replace(best, least=least, status="proven" if proven else "best found", seconds=searched.seconds)


def fewest_moves(case: PanelCase, limit: int, seconds: float, run: Runner = alone, least: int = 0) -> CurvePoint:
    """The fewest moves that bring the legs within a limit in every scenario.

    Args:
        least: Fewest moves that are already proven to be needed.
    Raises:
        NoSolution: the judge refuses what an engine found: a fault of ours, never shown as a layout.
    """
    found = case.found()
    if len(found) == len(case.pieces) and right(case, found) and worst_apart(case, found) <= limit:
        return _point(case, limit, found, Solved("proven"))
    model = model_of(case, limit, least=least)
    solved = run(model.program, seconds)
    if solved.status == "impossible":
        return CurvePoint(limit, "impossible", solver=solved.engine, seconds=solved.seconds)
    if not solved.values:
        told = max(least, solved.least // MOVE_COST)
        return CurvePoint(limit, "not found", None, told, solver=solved.engine, seconds=solved.seconds)
    if case.by_phasors and worst_apart(case, judged(case, None, model, solved)) > limit:
        return _by_angles(case, limit, seconds, run, max(least, solved.least // MOVE_COST))
    return _point(case, limit, judged(case, limit, model, solved), solved, least)


def _by_angles(case: PanelCase, limit: int, seconds: float, run: Runner, least: int) -> CurvePoint:
    """A layout that is surely within the limit though legs add up by angles; the best of several ways of asking."""
    best = CurvePoint(limit, "not found", None, least)
    for held, strict in ((limit, True), (limit * 3 // 4, False), (limit // 2, False), (limit // 4, False)):
        model = model_of(case, held, least=least, strict=strict)
        solved = run(model.program, seconds / 4)
        if not solved.values:
            continue
        layout = judged(case, None, model, solved)
        found = _point(case, limit, layout, replace(solved, status="best found", least=least * MOVE_COST), least)
        if worst_apart(case, layout) <= limit and (best.moves is None or (found.moves or 0) < best.moves):
            best = found
        if best.status == "proven":
            break
    return best


def _point(case: PanelCase, limit: int, layout: Layout, solved: Solved, least: int = 0) -> CurvePoint:
    count = moves(case, layout)
    proven = solved.status == "proven"
    lower = count if proven else min(count, max(least, solved.least // MOVE_COST))
    told = tuple(sorted(layout.items()))
    return CurvePoint(limit, "proven" if proven or lower == count else "best found", count, lower,
                      worst_apart(case, layout), told, solved.engine, solved.seconds)  # fmt: skip


def right(case: PanelCase, layout: Layout) -> bool:
    """Whether the judge finds nothing wrong but what no layout ends."""
    return all(wrong.kind in NO_LAYOUT_ENDS for wrong in judge(case, layout))


def judged(case: PanelCase, limit: int | None, model: Model, solved: Solved) -> dict[str, Place]:
    """A solution as a layout that the judge has passed.

    Raises:
        NoSolution: it has not.
    """
    layout = layout_of(model, solved.values)
    if not right(case, layout) or (limit is not None and worst_apart(case, layout) > limit):
        raise NoSolution("panel.trouble.refused", panel=case.name, engine=solved.engine)
    return layout


def least_apart(case: PanelCase, seconds: float, run: Runner = alone) -> tuple[int | None, bool]:
    """The smallest difference of the legs that any layout has [0.1 A], and whether that is proven."""
    model = model_of(case, None, even=True)
    solved = run(model.program, seconds)
    if not solved.values:
        return None, solved.status == "impossible"
    layout = judged(case, None, model, solved)
    return worst_apart(case, layout), solved.status == "proven" and not case.by_phasors


def near_each_other(
    case: PanelCase, limit: int, moved: int, seconds: float, run: Runner = alone
) -> tuple[dict[str, Place], int, bool] | None:
    """With so many moves at most, the layout whose groups stand nearest to each other.

    Returns:
        Layout, rows between first and last summed over the groups, whether that is proven; None where none was found.
    """
    model = model_of(case, limit, moves=moved, strict=case.by_phasors)
    solved = run(model.program, seconds)
    if not solved.values:
        return None
    proven = solved.status == "proven" and not case.by_phasors
    return judged(case, limit, model, solved), solved.cost, proven


# --- where there is no layout ---------------------------------------------------------------------------------------
def clashing(case: PanelCase, limit: int | None, seconds: float, run: Runner = alone) -> tuple[Msg, ...]:
    """Rules that no layout keeps together, none of them idle: at least one must be given up. Empty where all is well.

    A deletion filter: each rule in turn is given up for good if there is still no layout without it. What is left
    clashes by itself; there may be more than one such clash, and the next one shows when this one is ended. Where the
    time ends before that is proven, it is said.
    """
    full = overfull(case)
    if full is not None:
        return (full,) if overfull(case, NO_HALF_LIMIT) is not None else (full, _rule(case, "half_spaces"))
    names = [f"fixed/{piece.id}" for piece in case.pieces if piece.fixed and piece.now is not None] + list(KINDS)
    first = _possible(case, limit, frozenset(), seconds, run)
    if first is not False:
        return () if first else (said("panel.rule.not_settled"),)
    off: frozenset[str] = frozenset()
    held = None if limit is not None and _possible(case, None, off, seconds, run) is False else limit
    open_ = False
    for name in names:
        without = _possible(case, held, off | {name}, seconds, run)
        off |= {name} if without is False else frozenset()
        open_ |= without is None
    left = [_rule(case, name) for name in names if name not in off and _matters(case, name)]
    if held is not None:
        left.append(said("panel.rule.limit", limit=point(Decimal(held) / 10)))
    return (*(left or [said("panel.rule.room")]), *([said("panel.rule.not_least")] if open_ else []))


def _possible(case: PanelCase, limit: int | None, off: frozenset[str], seconds: float, run: Runner) -> bool | None:
    """Whether there is a layout that keeps the rules that are left; None where the time ends first."""
    model = model_of(case, limit, Rules(off))
    model.program.cost.clear()
    status = run(model.program, seconds).status
    return None if status == "not found" else status != "impossible"


def _matters(case: PanelCase, name: str) -> bool:
    """Whether a rule speaks of anything in this panel."""
    there = {
        "source_end": any(piece.ends is not None for piece in case.pieces),
        "tandem": any(piece.body for piece in case.pieces),
        "reserved": bool(case.reserved), "source_place": bool(case.reserved),
        "controllable": any(piece.controllable for piece in case.pieces),
        "shares_neutral": any(piece.shares_neutral or piece.neutral for piece in case.pieces),
        "tied": any(piece.tied for piece in case.pieces),
    }  # fmt: skip
    return there.get(name, True)


def _rule(case: PanelCase, name: str) -> Msg:
    """A rule in words."""
    kept = tuple(map(str, sorted(case.reserved)))
    if name.startswith("fixed/"):
        piece = next(each for each in case.pieces if each.id == name.removeprefix("fixed/"))
        word = f"fixed_{piece.stays_for}" if piece.stays_for else "fixed"
        return said(f"panel.rule.{word}", name=piece.name, poles=piece.poles,
                    spaces=piece.now.told() if piece.now else ())  # fmt: skip
    if name in ("reserved", "source_place"):
        return said(f"panel.rule.{name}", spaces=kept)
    if name == "shares_neutral":
        return said(
            "panel.rule.shares_neutral", names=tuple(p.name for p in case.pieces if p.shares_neutral or p.neutral)
        )
    if name == "tied":
        return said("panel.rule.tied", names=tuple(p.name for p in case.pieces if p.tied))
    return said(f"panel.rule.{name}")
