"""Rows, columns and legs of a panel's spaces, by hand from the two ways panels are numbered (common practice)."""

from __future__ import annotations

import pytest

from deadfront.job.panel_things import Panel
from deadfront.topology.rows import leg_of_space, place_of, stacked


def panel(**facts: object) -> Panel:
    return Panel.model_validate({"id": "p-1a", "spaces": 8, **facts})


def test_odd_numbers_left_even_right() -> None:
    assert [place_of(panel(), space) for space in (1, 2, 3, 4)] == [(0, 0), (0, 1), (1, 0), (1, 1)]
    assert stacked(panel(), 1, 3) and stacked(panel(), 4, 2)
    assert not stacked(panel(), 1, 2) and not stacked(panel(), 2, 3) and not stacked(panel(), 1, 5)


def test_numbers_down_the_left_column_then_the_right() -> None:
    down = panel(numbering="down")
    assert [place_of(down, space) for space in (1, 2, 4, 5, 8)] == [(0, 0), (1, 0), (3, 0), (0, 1), (3, 1)]
    assert stacked(down, 1, 2) and not stacked(down, 1, 3) and not stacked(down, 4, 5)


def test_numbers_down_need_the_number_of_spaces() -> None:
    """Without it no one knows where the right column begins: the usual numbering is taken."""
    assert place_of(Panel.model_validate({"id": "p-1a", "numbering": "down"}), 3) == (1, 0)


@pytest.mark.parametrize(
    ("facts", "system", "legs"),
    [
        ({}, "120/240 1ph 3w", [0, 0, 1, 1, 0, 0, 1, 1]),
        ({}, "208Y/120 3ph 4w", [0, 0, 1, 1, 2, 2, 0, 0]),
        ({"numbering": "down"}, "120/240 1ph 3w", [0, 1, 0, 1, 0, 1, 0, 1]),
        ({"legs": ["L2", "L1"]}, None, ["L2", "L2", "L1", "L1", "L2", "L2", "L1", "L1"]),
    ],
)
def test_the_leg_of_every_space(facts: dict[str, object], system: str | None, legs: list[object]) -> None:
    assert [leg_of_space(panel(**facts), space, system) for space in range(1, 9)] == legs
