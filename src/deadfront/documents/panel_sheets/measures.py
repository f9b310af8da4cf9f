"""Measures of the elevation: three ways to draw it, and where each cell, breaker and main stands."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.documents.panel_sheets.face import Block, Cell, Face


@dataclass(frozen=True, slots=True)
class Style:
    """Measures of one way to draw.

    Args:
        width: Of the whole panel; `row`: height of one row; `size`: type size.
        number: Width of the cell of a space's number; `leg`: of the leg's name outside it.
        lines: Most lines of a name in one row.
        stacked: The right column under the left one.
    """

    width: float
    row: float
    size: float
    number: float
    leg: float
    lines: int = 1
    stacked: bool = False
    edge: float = 3.0
    band: float = 26.0


WIDE = Style(640.0, 25.0, 13.0, 28.0, 22.0)
TWIN = Style(312.0, 32.0, 10.0, 20.0, 15.0, lines=3, band=22.0)
NARROW = Style(360.0, 27.0, 13.0, 30.0, 22.0, stacked=True)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the picture."""

    x: float
    y: float
    width: float
    height: float


class Layout:
    """Where everything stands."""

    def __init__(self, face: Face, style: Style, x: float, y: float) -> None:
        self.face, self.style, self.x, self.y = face, style, x, y
        self.rows = face.row_count
        self.middle = (self.rows + 1) // 2
        pad = 6.0
        self.left = x + style.edge + pad
        self.inner = style.width - 2 * (style.edge + pad)
        band = style.band + 4
        top = y + style.edge + pad
        self.mains: list[Box] = []
        columns = 2 if style.stacked else 1
        depth = self.rows * style.row
        place = "none" if face.main_in_space and face.main_at in ("unknown", "none") else face.main_at
        self.band_after = self.middle if place == "center" else -1
        if place != "bottom" and place != "center":
            self.mains.append(Box(self.left, top, self.inner, style.band))
            top += band
        self.tops = [top + n * (depth + (band if place == "center" else 0) + pad) for n in range(columns)]
        bottom = self.tops[-1] + depth + (band if place == "center" else 0)
        if place == "center":
            self.mains += [Box(self.left, t + self.middle * style.row, self.inner, style.band) for t in self.tops]
        elif place == "bottom":
            self.mains.append(Box(self.left, bottom + 4, self.inner, style.band))
            bottom += band
        self.frame_height = bottom + pad - y - style.edge
        self.half = self.inner if style.stacked else (self.inner - 10) / 2

    def mirrored(self, column: int) -> bool:
        """The right column has its numbers at the right."""
        return column == 1 and not self.style.stacked

    def row_y(self, row: float, column: int) -> float:
        """Upper edge of a row; a main in the middle is stepped over."""
        top = self.tops[column if self.style.stacked else 0]
        over = self.style.band + 4 if 0 <= self.band_after <= row else 0.0
        return top + row * self.style.row + over

    def column_x(self, column: int) -> float:
        """Left edge of a column."""
        return self.left + (self.half + 10 if self.mirrored(column) else 0.0)

    def number_box(self, cell: Cell) -> Box:
        """The cell that holds the number of a space, its leg outside of it."""
        wide = self.style.leg + self.style.number
        x = self.column_x(cell.column) + (self.half - wide if self.mirrored(cell.column) else 0.0)
        return Box(x, self.row_y(cell.row, cell.column), wide, self.style.row)

    def body(self, column: int) -> tuple[float, float]:
        """Left edge and width of the part of a column where breakers stand."""
        wide = self.style.leg + self.style.number
        return self.column_x(column) + (0.0 if self.mirrored(column) else wide), self.half - wide

    def block_box(self, block: Block) -> Box:
        """Where a breaker is drawn."""
        x, width = self.body(block.column)
        lane = width / block.lanes
        y = self.row_y(block.top, block.column)
        end = self.row_y(block.top + block.rows - 0.5, block.column) + 0.5 * self.style.row
        return Box(x + block.lane * lane, y, lane, end - y)
