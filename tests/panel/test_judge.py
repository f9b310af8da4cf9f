"""The judge: a panel that is right passes; a violation of every rule, planted into it, is caught; how fast it is."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import get_args

import pytest

from deadfront.panel.rules.judge import apart_tenths, judge, leg_tenths, moves, worst_apart
from deadfront.results.panel import Kind, PanelCase, Piece, Place
from tests.panel.made import WYE_THREE, empty_case, piece, realistic_case


def right_case() -> PanelCase:
    """A panel of 12 spaces with one of everything, where nothing is wrong.

    Row by row (odd left): 1 range, 2 heater; 3 range, 4 heater; 5 hot one, 6 kitchen; 7 hot two, 8 halves; 9 shed
    (controllable), 10 free; 11 free, 12 source.
    """
    pieces = (
        piece("range", 400, poles=2, now=Place((1, 3))),
        piece("main", 0, poles=2, role="main", fixed=True, now=Place((2, 4))),
        piece("one", 80, now=Place((5,)), partner="two", shares_neutral=True, tied=True),
        piece("two", 60, now=Place((7,)), partner="one", shares_neutral=True, tied=True),
        piece("kitchen", 100, now=Place((6,)), fixed=True),
        piece("den", 30, now=Place((8,), "a"), half=True, full=False),
        piece("hall", 20, now=Place((8,), "b"), half=True, full=False),
        piece("shed", 50, now=Place((9,)), controllable=True),
        piece("roof", 0, now=Place((12,)), role="source"),
    )
    return empty_case(12, pieces=pieces, half_spaces=frozenset({8, 10}), controllable_spaces=frozenset({9, 11}),
                      reserved=frozenset({12}), circuits_max=14)  # fmt: skip


def with_piece(case: PanelCase, ident: str, **fields: object) -> PanelCase:
    """The same panel with one breaker changed."""
    changed = tuple(replace(each, **fields) if each.id == ident else each for each in case.pieces)  # type: ignore[arg-type]
    return replace(case, pieces=changed)


PLANTED: dict[Kind, tuple[str, Place | None, dict[str, object]]] = {
    "unplaced": ("hall", None, {}),
    "no_such_space": ("hall", Place((13,), "a"), {}),
    "overlap": ("shed", Place((5,)), {"controllable": False}),
    "shape": ("range", Place((1, 5)), {}),
    "half_place": ("hall", Place((11,), "a"), {}),
    "half_width": ("shed", Place((10,), "a"), {"controllable": False}),
    "fixed": ("kitchen", Place((10,)), {}),
    "main": ("main", Place((9, 11)), {}),
    "controllable": ("shed", Place((10,)), {}),
    "reserved": ("shed", Place((12,)), {"controllable": False}),
    "source_place": ("roof", Place((11,)), {}),
    "multiwire_leg": ("two", Place((10,)), {}),
    "tied_apart": ("two", Place((11,)), {}),
    "source_end": ("roof", Place((11,)), {"ends": frozenset({12})}),
    "multiwire_panel": ("kitchen", Place((6,)), {"neutral_elsewhere": True}),
    "tandem_apart": ("hall", Place((10,), "b"), {"body": "den"}),
}


def test_nothing_is_wrong_with_a_panel_that_is_right() -> None:
    case = right_case()
    assert judge(case, case.found()) == ()


@pytest.mark.parametrize("kind", PLANTED)
def test_a_planted_violation_is_caught(kind: Kind) -> None:
    ident, place, fields = PLANTED[kind]
    case = with_piece(right_case(), ident, **fields)
    layout = case.found()
    layout.pop(ident)
    if place is not None:
        layout[ident] = place
    found = {wrong.kind: wrong for wrong in judge(case, layout)}
    assert kind in found, sorted(found)
    assert ident in found[kind].pieces


def test_violations_of_the_panel_itself_are_caught() -> None:
    case = right_case()
    few = replace(case, circuits_max=8)  # hand: 2 + 7 poles of one = 9, the main of 2 not counted
    assert [wrong.kind for wrong in judge(few, few.found())] == ["too_many_circuits"]
    assert judge(replace(case, circuits_max=9), case.found()) == ()
    strange = with_piece(case, "shed", listed=False)
    assert [wrong.kind for wrong in judge(strange, strange.found())] == ["not_listed"]
    rows_alike = replace(case, legs=(0, 0, 0, 0, *case.legs[4:]))
    assert {wrong.kind for wrong in judge(rows_alike, case.found())} == {"one_leg"}


def test_every_rule_has_its_planted_violation() -> None:
    assert set(PLANTED) | {"too_many_circuits", "not_listed", "one_leg"} == set(get_args(Kind))


@pytest.mark.parametrize(
    ("places", "kinds"),
    [
        ({"one": Place((9,)), "two": Place((11,))}, []),  # moved together, side by side
        ({"one": Place((7,)), "two": Place((5,))}, []),  # turned over
        ({"one": Place((5,)), "two": Place((6,))}, ["multiwire_leg", "tied_apart"]),  # one row: one leg
        ({"one": Place((5,)), "two": Place((10,))}, ["multiwire_leg", "tied_apart"]),
        ({"one": Place((8,), "a"), "two": Place((10,), "a")}, ["tied_apart"]),  # no tie fits halves that are moved
    ],
)
def test_pairs(places: dict[str, Place], kinds: list[str]) -> None:
    case = with_piece(with_piece(right_case(), "one", half=True), "two", half=True)
    gone = [each for each in case.pieces if each.id in ("one", "two")]
    case = replace(case, pieces=tuple(gone))
    assert sorted(wrong.kind for wrong in judge(case, places)) == kinds


def test_legs_by_hand() -> None:
    """Hand: 5, 6 and 9 are in the third and fifth row, on L1; 7 and 8 in the fourth, on L2; two poles count on none."""
    case = right_case()
    assert leg_tenths(case, case.found(), 0) == [80 + 100 + 50, 60 + 30 + 20]
    assert apart_tenths(case, case.found(), 0) == 120
    assert moves(case, {**case.found(), "den": Place((10,), "a")}) == 1


def test_legs_of_three_phases_by_hand() -> None:
    """Hand: rows A B C; two poles in rows 1 and 2 load A and B, one pole in row 3 loads C."""
    pieces = (piece("two", 90, 30, poles=2, now=Place((1, 3))), piece("one", 40, 20, now=Place((5,))))
    case = empty_case(6, WYE_THREE, pieces=pieces, scenarios=("day", "night"))
    assert leg_tenths(case, case.found(), 0) == [90, 90, 40]
    assert worst_apart(case, case.found()) == 50


def test_forty_two_spaces_are_judged_within_a_millisecond() -> None:
    """The best of several runs: what the machine does beside it is not the judge's."""
    case = realistic_case(42, 2)
    layout = case.found()
    times = []
    for _ in range(60):
        start = time.perf_counter()
        judge(case, layout)
        times.append(time.perf_counter() - start)
    assert min(times) < 0.001
    assert len(case.pieces) > 30


def test_any_layout_at_all_is_judged_without_an_error() -> None:
    """Spaces of nothing, below one, twice, halves of no name: said, never a crash."""
    case = with_piece(right_case(), "den", poles=2)
    for place in (Place(()), Place((0,)), Place((-3, 1)), Place((5, 5)), Place((1,), "c"), Place((1, 2, 3, 4, 5))):
        assert judge(case, {each.id: place for each in case.pieces})


def test_a_piece_is_plain_data() -> None:
    assert hash(right_case()) == hash(right_case())
    assert isinstance(right_case().pieces[0], Piece)
