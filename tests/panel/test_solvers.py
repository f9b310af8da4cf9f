"""The two solvers on panels as houses have them: they agree, they end when told to, and a clash of rules is named."""

from __future__ import annotations

import random
import threading
import time
from dataclasses import replace

import pytest

from deadfront.app.panel_race import Stopped, race
from deadfront.app.panels import clash, grouped, moves_in_order, points
from deadfront.errors import NoSolution
from deadfront.panel.rules.judge import judge, moves, worst_apart
from deadfront.panel.rules.places import needed_spaces, overfull
from deadfront.panel.solve import curve as curve_of
from deadfront.panel.solve.cpsat import solve_cpsat
from deadfront.panel.solve.curve import alone, clashing, curve, fewest_moves, right
from deadfront.panel.solve.linear import Linear, Solved
from deadfront.results.panel import PanelCase, Place
from tests.panel.every_layout import every_layout
from tests.panel.made import WYE_THREE, empty_case, piece, realistic_case
from tests.panel.test_order import worked


def cpsat(program: Linear, seconds: float) -> Solved:
    """CP-SAT by itself."""
    return solve_cpsat(program, seconds)


@pytest.mark.parametrize("seed", range(12))
def test_two_solvers_agree_on_the_fewest_moves(seed: int) -> None:
    """Each is the other's expectation; every layout is judged, counted and measured again, and worked in order."""
    case = realistic_case(20, seed)
    for limit in (100, 30):
        both = [fewest_moves(case, limit, 20, run) for run in (alone, cpsat)]
        assert both[0].status in ("proven", "impossible")
        assert both[0].moves == both[1].moves and both[0].status == both[1].status
        for each in both:
            if each.layout is not None:
                layout = dict(each.layout)
                assert right(case, layout) and moves(case, layout) == each.moves
                assert worst_apart(case, layout) == each.apart_tenths and (each.apart_tenths or 0) <= limit
                assert worked(case, moves_in_order(case, each.layout)) == layout


def test_the_curve_never_falls_and_ends_where_nothing_is_possible() -> None:
    found = list(curve(realistic_case(30, 2), seconds=20))
    assert [each.limit_tenths for each in found] == [100, 50, 30, 20, 10]
    counts = [each.moves for each in found if each.moves is not None]
    assert counts == sorted(counts) and counts
    assert found[-1].status == "impossible" and found[-1].layout is None


def test_time_that_is_too_short_is_told_as_a_gap_never_as_proof() -> None:
    case = realistic_case(42, 0)
    point = fewest_moves(case, 20, 0.2)
    assert point.status in ("best found", "not found")
    assert point.moves is None or point.gap > 0


def test_a_layout_that_the_judge_refuses_is_never_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(curve_of, "layout_of", lambda model, values: model.case.found())
    case = replace(realistic_case(20, 3), reserved=frozenset(range(1, 19)))
    assert judge(case, case.found())
    loose = replace(case, reserved=frozenset())
    broken = next(each for each in (realistic_case(20, n) for n in range(50)) if worst_apart(each, each.found()) > 100)
    with pytest.raises(NoSolution):
        fewest_moves(broken, 100, 10)
    assert loose.pieces == case.pieces


def endless() -> Linear:
    """A program that neither solver settles in a minute: five sums over forty choices, each to be half of its whole."""
    rng, program = random.Random(1), Linear()
    choices = [program.var(cost=1) for _ in range(40)]
    for _ in range(5):
        factors = [rng.randint(0, 99) for _ in choices]
        program.row(list(zip(choices, factors, strict=True)), sum(factors) // 2, sum(factors) // 2)
    return program


def test_a_stop_ends_both_at_once() -> None:
    stopped = threading.Event()
    timer = threading.Timer(2.5, stopped.set)
    timer.start()
    start = time.monotonic()
    with pytest.raises(Stopped):
        race(stopped.is_set)(endless(), 60)
    assert time.monotonic() - start < 6
    assert not [each for each in threading.enumerate() if each.name.startswith("panel-")]


def test_what_came_before_a_stop_stays() -> None:
    seen = []
    for point in points(realistic_case(42, 0), seconds=30, stop=lambda: len(seen) >= 1):
        seen.append(point)
    assert [each.limit_tenths for each in seen] == [100]


def test_the_race_gives_the_same_answer_as_one_alone() -> None:
    case = realistic_case(30, 5)
    raced = [(each.moves, each.status) for each in points(case, (100, 50), 20)]
    assert raced == [(each.moves, each.status) for each in curve(case, (100, 50), 20)]


def test_legs_of_three_phases_are_evened() -> None:
    pieces = tuple(piece(f"b-{n}", 100, now=Place((space,))) for n, space in enumerate((1, 2, 7)))
    case = empty_case(12, WYE_THREE, pieces=pieces)
    point = fewest_moves(case, 10, 10)
    assert (point.moves, point.status, point.apart_tenths) == (2, "proven", 0)  # hand: one 10 A circuit on each leg


# --- where there is no layout ---------------------------------------------------------------------------------------
def key_set(case: PanelCase, limit: int | None = None) -> list[str]:
    """Keys of the rules that are said to clash."""
    return sorted(each.key for each in clashing(case, limit, 10))


def test_two_that_stay_in_one_space_are_named() -> None:
    pieces = (
        piece("a", now=Place((1,)), fixed=True),
        piece("b", now=Place((1,)), fixed=True),
        piece("c", now=Place((2,))),
    )
    found = clashing(empty_case(4, pieces=pieces), None, 10)
    assert [each.key for each in found] == ["panel.rule.fixed"] * 2
    assert [str(each.params["name"].params["name"]) for each in found] == ["a", "b"]  # type: ignore[attr-defined]


def test_a_limit_nothing_keeps_is_named_with_what_holds_the_legs() -> None:
    pieces = (piece("a", 100, now=Place((1,)), fixed=True), piece("b", 100, now=Place((2,)), fixed=True))
    assert key_set(empty_case(4, pieces=pieces), 50) == ["panel.rule.fixed"] * 2 + ["panel.rule.limit"]


def test_an_overfull_panel_says_how_many_spaces_it_lacks() -> None:
    pieces = tuple(piece(f"b-{n}") for n in range(5))
    case = empty_case(4, pieces=pieces)
    (told,) = clashing(case, None, 10)
    assert (told.key, told.params["needed"], told.params["there"]) == ("panel.trouble.overfull", 5, 4)
    roomy = empty_case(4, pieces=tuple(replace(each, half=True) for each in pieces), half_spaces=frozenset({1}))
    assert overfull(roomy) is None and needed_spaces(roomy) == 4


def test_kept_spaces_that_leave_no_room_are_named() -> None:
    pieces = tuple(piece(f"b-{n}", now=Place((n,))) for n in (1, 2, 3))
    assert key_set(empty_case(4, pieces=pieces, reserved=frozenset({3, 4}))) == ["panel.rule.reserved"]


def test_what_is_named_clashes_by_itself_and_no_part_of_it_is_idle() -> None:
    """Independent: by trying every layout. With only those that are named staying there is none; let any go, there is.

    Panels of breakers of full size, most of which stay, with new ones of two poles that need room.
    """
    panels = let_go = 0
    for seed in range(400):
        case = crowded(seed)
        if next(every_layout(case), None) is not None:
            continue
        told = clashing(case, None, 10)
        assert told, seed
        stays = {each.params["name"] for each in told if each.key == "panel.rule.fixed"}
        if overfull(case) is not None:
            continue
        assert len(stays) == len(told), (seed, told)
        panels += 1
        assert next(every_layout(only_staying(case, stays)), None) is None, seed
        for name in stays:
            assert next(every_layout(only_staying(case, stays - {name})), None) is not None, (seed, name)
            let_go += 1
    assert panels >= 30 and let_go >= 60, (panels, let_go)


def crowded(seed: int) -> PanelCase:
    """A panel of 6 or 8 spaces: breakers that mostly stay, and one or two new ones of two poles."""
    rng = random.Random(seed)
    spaces = rng.choice((6, 8))
    spots = rng.sample(range(1, spaces + 1), rng.randint(2, spaces - 3))
    old = [piece(f"b-{space}", now=Place((space,)), fixed=rng.random() < 0.8) for space in spots]
    new = [piece(f"n-{number}", poles=2) for number in range(rng.choice((1, 2)))]
    return empty_case(spaces, pieces=(*old, *new))


def only_staying(case: PanelCase, stays: set[object]) -> PanelCase:
    """The panel with only those breakers staying."""
    return replace(case, pieces=tuple(replace(each, fixed=each.name in stays) for each in case.pieces))


def test_there_is_nothing_to_name_where_there_is_a_layout() -> None:
    assert clash(realistic_case(20, 1), 100) == ()


def test_groups_come_nearer_with_two_more_moves() -> None:
    case = realistic_case(20, 4)
    point = fewest_moves(case, 100, 20)
    found = list(grouped(case, point, 10))
    assert [each.extra for each in found] == [0, 2]
    assert found[1].rows <= found[0].rows
    for each in found:
        assert right(case, dict(each.layout)) and moves(case, dict(each.layout)) <= (point.moves or 0) + each.extra
