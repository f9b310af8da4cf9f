"""The card for the door: every space with what it feeds, two columns as the panel has them, at print size."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.face import Block, Cell, Face
from deadfront.documents.panel_sheets.print_size import (
    CAPITAL,
    U,
    cut_line,
    drawing_mm,
    fit_mm,
    rect_mm,
    text_mm,
    type_size,
)
from deadfront.worksheet.sheet import SheetHead

WIDTH_MM = 150.0
HEAD_MM, FOOT_MM, NUMBER_MM, EDGE_MM = 14.0, 13.0, 9.0, 4.0
LETTER_MM = 2.2
MOST_MM = 210.0
ROW_MM, HALVED_MM, LEAST_MM = 7.0, 9.0, 4.2


def card(
    face: Face, names: Mapping[str, str], words: Catalog, head: SheetHead, *, draft: bool = False
) -> tuple[str, tuple[str, ...]]:
    """One card as a picture, and the names that do not fit their line and were cut.

    Args:
        names: What each breaker feeds, by its id, in the language of the card.
        words: The language of the card.
        draft: A name must still be changed or found out: the card says that it is none for the door yet.
    """
    halved = any(block.rows == 0.5 for block in face.blocks)
    room = (MOST_MM - HEAD_MM - FOOT_MM - 2) / max(face.row_count, 1)
    row = max(min(HALVED_MM if halved else ROW_MM, room), LEAST_MM)
    height = HEAD_MM + face.row_count * row + FOOT_MM
    title = words.key("panel.card.title")
    parts = [cut_line(WIDTH_MM, height), text_mm(EDGE_MM, 6.6, title, letter=3.2, weight=700)]
    parts += _heading(face, words, head)
    if draft:
        parts += _draft(words)
    cut: list[str] = []
    for cell in face.cells:
        parts += _number(cell, row)
    for cell in face.cells:
        if not any(_covers(block, cell) for block in face.blocks):
            parts += _empty(face, cell, row, words)
    for block in face.blocks:
        fits, drawn = _line(block, names.get(block.id, ""), row)
        parts += drawn
        if fits:
            cut.append(fits)
    y = HEAD_MM + face.row_count * row + 5.6
    caution = fit_mm(words.key("panel.card.caution"), WIDTH_MM - 2 * EDGE_MM - 14, 2.4, 2)
    parts += _triangle(EDGE_MM, y - 4)
    for n, line in enumerate(caution.lines):
        parts.append(text_mm(EDGE_MM + 9, y - 0.6 + n * 4, line, letter=caution.size * CAPITAL / U, weight=700))
    shown = drawing_mm(WIDTH_MM, height, parts, title=f"{title}: {face.name or face.id}", kind="print-size")
    return shown, tuple(dict.fromkeys(cut))


def _heading(face: Face, words: Catalog, head: SheetHead) -> Iterator[str]:
    """Panel and date, under the title."""
    named = fit_mm(words.key("panel.card.of", panel=face.name or face.id, job=head.job, on=head.on),
                   WIDTH_MM - 2 * EDGE_MM, 2.0)  # fmt: skip
    yield svg.text(EDGE_MM * U, 11.6 * U, named.lines[0], size=named.size, fill="#000")


def _draft(words: Catalog) -> Iterator[str]:
    """Not for the door yet: at the upper right, in a frame, so that it cannot be cut off and forgotten."""
    told, width = words.key("panel.card.draft"), 58.0
    fits = fit_mm(told, width - 4, 2.4)
    yield rect_mm(WIDTH_MM - EDGE_MM - width, 2.2, width, 6.4, line=0.6)
    yield text_mm(WIDTH_MM - EDGE_MM - width / 2, 6.6, fits.lines[0], letter=fits.size * CAPITAL / U, anchor="middle",
                  weight=700)  # fmt: skip


def _column(column: int) -> tuple[float, float]:
    """Left edge and width of a column [mm]."""
    width = (WIDTH_MM - 2 * EDGE_MM) / 2
    return EDGE_MM + column * width, width


def _number(cell: Cell, row: float) -> Iterator[str]:
    """The number of a space, at the outer edge as on the panel."""
    x, width = _column(cell.column)
    y = HEAD_MM + cell.row * row
    at = x if cell.column == 0 else x + width - NUMBER_MM
    yield rect_mm(at, y, NUMBER_MM, row, line=0.25)
    letter = min(LETTER_MM, row * 0.5)
    yield text_mm(at + NUMBER_MM / 2, y + row / 2 + letter / 2, str(cell.space), letter=letter, anchor="middle",
                  weight=700)  # fmt: skip


def _body(column: int) -> tuple[float, float]:
    x, width = _column(column)
    return (x + NUMBER_MM if column == 0 else x), width - NUMBER_MM


def _empty(face: Face, cell: Cell, row: float, words: Catalog) -> Iterator[str]:
    """A space without a breaker: a dash where that is known, room to write where it is not."""
    x, width = _body(cell.column)
    y = HEAD_MM + cell.row * row
    yield rect_mm(x, y, width, row, line=0.25)
    if face.listed:
        yield text_mm(x + width / 2, y + row / 2 + 0.8, "–", letter=LETTER_MM, anchor="middle")


def _line(block: Block, name: str, row: float) -> tuple[str, list[str]]:
    """One breaker: its name on as many lines as there is room; what was cut, else ""."""
    x, width = _body(block.column)
    lane = width / block.lanes
    x, y, high = x + block.lane * lane, HEAD_MM + block.top * row, block.rows * row
    letter = min(LETTER_MM, high * 0.44)
    lines = max(1, int((high - 0.8) / (type_size(letter) / U * 1.05)))
    fits = fit_mm(name, lane - 3.0, letter, min(lines, 3))
    if fits.cut and lines == 1 and high >= 5.4:
        fits = fit_mm(name, lane - 3.0, high * 0.27, 2)
    step = fits.size / U * 1.05
    first = y + high / 2 + fits.size / U * 0.33 - step * (len(fits.lines) - 1) / 2
    parts = [rect_mm(x, y, lane, high, line=0.6 if block.wrong else 0.25, fill="#fff")]
    parts += [
        svg.text((x + 1.5) * U, (first + n * step) * U, line, size=fits.size, fill="#000")
        for n, line in enumerate(fits.lines)
    ]
    return (name if fits.cut else ""), parts


def _covers(block: Block, cell: Cell) -> bool:
    return block.column == cell.column and block.top < cell.row + 1 and cell.row < block.top + block.rows


def _triangle(x: float, y: float) -> Iterator[str]:
    """The safety alert sign."""
    yield svg.element("path", d=f"M{svg.short((x + 3.5) * U)} {svg.short(y * U)}l35 62h-70Z", fill="#000")
    yield svg.element("path", d=f"M{svg.short((x + 3.5) * U)} {svg.short((y + 2.2) * U)}v22m0 6v6", fill="none",
                      stroke="#fff", stroke_width=6)  # fmt: skip
