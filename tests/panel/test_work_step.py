"""A layout that was chosen becomes a step of the work: read back from the job, the panel stands as chosen."""

from __future__ import annotations

import itertools

from deadfront.app.panels import as_work_step, moves_in_order
from deadfront.assess import assess
from deadfront.codebook import open_book
from deadfront.job.edit import apply_edits
from deadfront.job.house import house_at
from deadfront.job.read import read_job
from deadfront.panel.solve.curve import fewest_moves
from deadfront.results.panel import Layout, PanelResult, Place
from tests.panel.houses import breaker, house, panel

UNEVEN = [breaker("rng", "1, 3", 9600, poles=2), breaker("kit", "2", 1800), breaker("den", "5", 1200),
          breaker("hal", "6", 240)]  # fmt: skip


def with_step(text: str, layout: Layout) -> PanelResult:
    """The panel after a work step made of the moves to a layout."""
    found = panel(text)
    assert found.case is not None
    names = (f"b-z{number}" for number in itertools.count(10))
    steps = moves_in_order(found.case, tuple(layout.items()))
    edits = as_work_step(house_at(read_job(text).job), steps, "w-9ev", "Even the legs", lambda: next(names))
    return assess(apply_edits(text, edits).job, open_book("2023")).panels[0]


def test_the_house_after_the_step_stands_as_chosen() -> None:
    text = house(*UNEVEN)
    case = panel(text).case
    assert case is not None
    point = fewest_moves(case, 50, 10)
    assert point.layout is not None and point.moves == 1
    after = with_step(text, dict(point.layout))
    assert after.case is not None and after.case.found() == dict(point.layout)
    assert after.violations == () and after.apart is not None and after.apart.low == 3  # hand: 15 A against 12 A
    assert after.leave is True


def test_a_ring_ends_where_it_should() -> None:
    target = {"b-rng": Place((1, 3)), "b-kit": Place((5,)), "b-den": Place((2,)), "b-hal": Place((6,))}
    after = with_step(house(*UNEVEN), target)
    assert after.case is not None and after.case.found() == target


def test_a_breaker_of_the_other_size_is_taken_out_and_a_new_one_added() -> None:
    """The circuit goes to the new breaker; the id of the old one is never used again."""
    plain = breaker("hal", "6", 240, 'protection = "plain"')
    text = house(*UNEVEN[:3], plain, panel="half_spaces = [7, 8]")
    target = {"b-rng": Place((1, 3)), "b-kit": Place((2,)), "b-den": Place((5,)), "b-hal": Place((8,), "a")}
    after = with_step(text, target)
    assert after.case is not None
    places = after.case.found()
    assert "b-hal" not in places and places["b-z10"] == Place((8,), "a")
    new = next(piece for piece in after.case.pieces if piece.id == "b-z10")
    assert new.name.params["name"] == "hal" and new.tenths == (20,) and new.half and not new.full
