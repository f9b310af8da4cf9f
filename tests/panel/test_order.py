"""The moves in order, worked by a hand that looks only at the spaces: none taken, no two hots of a pair on one leg."""

from __future__ import annotations

import random

import pytest

from deadfront.panel.rules.order import ordered
from deadfront.results.panel import Layout, MoveStep, PanelCase, Place
from tests.panel.every_layout import every_layout
from tests.panel.made import empty_case, piece, small_case


def worked(case: PanelCase, steps: tuple[MoveStep, ...]) -> dict[str, Place]:
    """The layout after the steps; every step is looked at as it is done."""
    stands = case.found()
    pieces = {each.id: each for each in case.pieces}
    for step in steps:
        if step.kind == "park":
            assert stands.pop(step.piece) == step.start
            assert step.end is None
            continue
        assert step.end is not None
        if step.kind == "move":
            assert stands[step.piece] == step.start
        else:
            assert step.piece not in stands
        others = {(space, half) for ident, place in stands.items() if ident != step.piece
                  for space in place.spaces for half in place.half or "ab"}  # fmt: skip
        assert not others & {(space, half) for space in step.end.spaces for half in step.end.half or "ab"}
        stands[step.piece] = step.end
        one = pieces[step.piece]
        other = pieces.get(one.partner)
        if other is not None and (one.shares_neutral or other.shares_neutral) and other.id in stands:
            legs = [{case.legs[s - 1] for s in stands[each.id].spaces} for each in (one, other)]
            assert not legs[0] & legs[1], f"{one.id} and {other.id} on one leg on the way"
    return stands


def right_at_first(case: PanelCase) -> bool:
    """Whether no breaker stands in another one's space to begin with."""
    slots = [(s, h) for place in case.found().values() for s in place.spaces for h in place.half or "ab"]
    return len(slots) == len(set(slots))


def test_every_order_can_be_worked() -> None:
    """Random targets out of all layouts of small panels; rings and pairs are among them."""
    orders = parked = pairs = 0
    for seed in range(700):
        case = small_case(seed)
        layouts = list(every_layout(case))
        if not layouts or not right_at_first(case):
            continue
        for target in random.Random(seed).sample(layouts, min(6, len(layouts))):
            steps = ordered(case, target)
            assert worked(case, steps) == target, seed
            assert sum(step.kind != "park" for step in steps) == sum(
                case.found().get(each.id) != target[each.id] for each in case.pieces
            )
            orders += 1
            parked += any(step.kind == "park" for step in steps)
            pairs += any(each.shares_neutral and case.found().get(each.id) != target[each.id] for each in case.pieces)
    assert orders > 1500 and parked > 300 and pairs > 100, (orders, parked, pairs)


def swap(**more: object) -> tuple[PanelCase, Layout]:
    """Two breakers that change places, in a panel without another space."""
    pieces = (piece("a", 50, now=Place((1,)), **more), piece("b", 20, now=Place((3,))))
    return empty_case(4, pieces=pieces), {"a": Place((3,)), "b": Place((1,))}


def test_a_ring_sets_one_aside_the_one_with_the_least_current() -> None:
    case, target = swap()
    steps = ordered(case, target)
    assert [(step.kind, step.piece) for step in steps] == [("park", "b"), ("move", "a"), ("place", "b")]
    assert steps[1].check_reach and steps[1].rows == 1 and not steps[1].other_side


def test_a_pair_that_is_turned_over_never_stands_on_one_leg() -> None:
    """One of the two is set aside although there is free space to move into: there it would share the other's leg."""
    pieces = (piece("a", 50, now=Place((1,)), partner="b", shares_neutral=True, tied=True),
              piece("b", 20, now=Place((3,)), partner="a", shares_neutral=True, tied=True))  # fmt: skip
    case = empty_case(8, pieces=pieces)
    steps = ordered(case, {"a": Place((7,)), "b": Place((5,))})
    assert [step.kind for step in steps] == ["park", "move", "place"]
    worked(case, steps)


def test_a_new_breaker_comes_last_and_is_said_to_be_new() -> None:
    pieces = (piece("new", 50), piece("b", 20, now=Place((3,))))
    steps = ordered(empty_case(4, pieces=pieces), {"new": Place((3,)), "b": Place((4,))})
    assert [(step.kind, step.piece, step.new, step.check_reach) for step in steps] == [
        ("move", "b", False, True), ("place", "new", True, False),
    ]  # fmt: skip


def test_another_size_is_another_breaker() -> None:
    pieces = (piece("a", 50, now=Place((1,)), half=True), piece("b", 20, now=Place((3,))))
    case = empty_case(4, pieces=pieces, half_spaces=frozenset({2}))
    steps = ordered(case, {"a": Place((2,), "a"), "b": Place((4,))})
    assert [step.other_size for step in steps] == [True, False]


@pytest.mark.parametrize("seed", range(20))
def test_nothing_to_do_is_no_step(seed: int) -> None:
    case = small_case(seed)
    if len(case.found()) == len(case.pieces):
        assert ordered(case, case.found()) == ()
