"""The study of panels runs small here; in full with `python -m tests.study.run panels`."""

from __future__ import annotations

import pytest

from tests.bench import panel as bench
from tests.panel.infeasible import clashes
from tests.study import panel_clashes, panels


def test_a_small_study_writes_its_rows() -> None:
    seen = panels.look(20, None, range(4))
    assert seen.points == 16 and seen.narrow == 4 and seen.settled == 16
    assert panels.line("20", seen).startswith("| 20 | 4 | ")


def test_hundredths_by_hand() -> None:
    """Hand: of twenty values the 95th of a hundred is the nineteenth, the 90th the eighteenth."""
    values = list(range(1, 21))
    assert (panels.share(values, 95), panels.share(values, 90), panels.share([7], 95)) == (19, 18, 7)


def test_an_aim_is_kept_only_by_what_is_settled() -> None:
    """Hand: nineteen of twenty within 3 s is 95 of a hundred; with two of them open it is not proven."""
    aim = panels.Aim("42", "a point", 95, 10.0)
    seen = panels.Seen(points=20, settled=19, seconds=[3.0] * 19 + [10.2])
    assert aim.told(seen).endswith("| 3.0 | 10 | kept |")
    assert aim.told(panels.Seen(points=20, settled=18, seconds=[3.0] * 20)).endswith("| not kept |")
    assert aim.told(panels.Seen(points=20, settled=20, seconds=[3.0] * 18 + [11.0] * 2)).endswith("| not kept |")


def test_each_solver_alone_agrees() -> None:
    points, both, first, second = panels.agree(20, None, range(2))
    assert (points, both, first, second) == (4, 4, 4, 4)


def test_small_tangles_write_their_rows() -> None:
    out: list[str] = []
    panel_clashes.by_trying(out, 12)
    assert out[-2].startswith(f"| {len(clashes())} by hand | {len(clashes())} | ") and out[-1].startswith(
        "| 12 random | "
    )


@pytest.mark.parametrize("spaces", [20, 42])
def test_spoiled_panels_have_no_layout_and_their_rules_are_confirmed(spaces: int) -> None:
    """Independent: CP-SAT alone, with these rules and with each given up."""
    seen = panel_clashes.by_solver(spaces, range(6))
    assert (seen.panels, seen.none, seen.confirmed) == (6, 6, 6) and seen.rules >= 8


def test_the_bench_row_of_the_judge_names_its_limit() -> None:
    ((what, value, unit, _, _, limit),) = bench.rows()
    assert "42 spaces" in what and unit == "ms" and limit == 1.0
    assert 0 < value < 20  # far from the limit, so that a busy machine breaks no test
