"""Where the spaces of a panelboard are: row and column of each, and the leg of each row."""

from __future__ import annotations

from deadfront.job.panel_things import Panel

LEGS = {"208Y/120 3ph 4w": 3}
TWO_LEGS = 2


def place_of(panel: Panel, space: int) -> tuple[int, int]:
    """Row and column of a space, from 0.

    Odd numbers stand on the left and even ones on the right (common practice), or the numbers run down the left
    column and then the right; a panel whose spaces are not counted is taken as the first.
    """
    if panel.numbering == "down" and panel.spaces:
        deep = (panel.spaces + 1) // 2
        return (space - 1) % deep, (space - 1) // deep
    return (space - 1) // 2, (space - 1) % 2


def leg_of_space(panel: Panel, space: int, system: str | None) -> int | str:
    """The leg a space stands on: as its label says, else the rows take turns (common practice)."""
    row = place_of(panel, space)[0]
    if panel.legs:
        return panel.legs[row % len(panel.legs)]
    return row % LEGS.get(system or "", TWO_LEGS)


def stacked(panel: Panel, first: int, second: int) -> bool:
    """Whether two spaces stand one above the other in one column."""
    (row, column), (other_row, other_column) = place_of(panel, first), place_of(panel, second)
    return column == other_column and abs(row - other_row) == 1
