"""How a label is drawn: a line to cut along, letters of a given height, a signal word where someone can be hurt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Literal

from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.fitting import broken_at, clean
from deadfront.documents.panel_sheets.print_size import (
    CAPITAL,
    U,
    cut_line,
    drawing_mm,
    rect_mm,
    text_mm,
    type_size,
)
from deadfront.msg import Msg

WIDEST_MM = 158.0
LEAST_WIDE_MM, PAD_MM = 60.0, 4.0
RED = "#c8102e"
TAG_WIDE_MM, TAG_HIGH_MM, TAG_LETTER_MM, TAG_GAP_MM = 15.0, 8.0, 3.2, 1.0


@dataclass(frozen=True, slots=True)
class Label:
    """A label.

    Args:
        lines: Its words, the heading first.
        letter: Height of its capitals [mm]; never less, whatever the words.
        look: "plain", "warning" (signal word before it) or "red" (white letters on red).
        by_rule: A rule names that height.
    """

    lines: tuple[Msg, ...]
    letter: float
    look: Literal["plain", "warning", "red"] = "plain"
    by_rule: bool = False

    def told(self, catalog: Catalog) -> str:
        """Its words in one line."""
        return " / ".join(catalog.say(line) for line in self.lines)


def label(each: Label, catalog: Catalog) -> str:
    """A label as a picture at print size. Words that are long take more lines, never smaller letters."""
    size, step = type_size(each.letter), each.letter / CAPITAL * 1.12
    inner = (WIDEST_MM - 2 * PAD_MM - 3) * U
    rows = [row for line in each.lines for row in _rows(catalog.say(line), inner, size)]
    band = 9.0 if each.look == "warning" else 0.0
    height = 2 * PAD_MM + band + 3 + (len(rows) - 1) * step + each.letter
    width = min(WIDEST_MM, max(LEAST_WIDE_MM, max(svg.text_width(row, size) for row in rows) / U + 2 * PAD_MM + 3))
    width = ceil(width)
    fill, ink = (RED, "#fff") if each.look == "red" else ("#fff", "#000")
    parts = [cut_line(width, height), rect_mm(1.5, 1.5, width - 3, height - 3, line=0.5, fill=fill)]
    if band:
        word = catalog.key("signal.warning")
        parts += [
            rect_mm(1.5, 1.5, width - 3, band, line=0.5, fill="#f57c00"),
            svg.element("path", d="M95 25l35 62h-70Z", fill="#000"),
            svg.element("path", d="M95 48v20m0 6v6", fill="none", stroke="#f57c00", stroke_width=6),
            text_mm(16, 8.2, word, letter=4.2, weight=700),
        ]
    block = (len(rows) - 1) * step + each.letter
    y = band / 2 + (height - block) / 2 + each.letter + (0.5 if band else 0.0)
    for n, row in enumerate(rows):
        weight = 700 if n == 0 or each.look == "red" else 400
        parts.append(text_mm(width / 2, y + n * step, row, letter=each.letter, anchor="middle", weight=weight,
                             fill=ink))  # fmt: skip
    return drawing_mm(width, height, parts, title=each.told(catalog), kind="print-size")


def _rows(words: str, width: float, size: float) -> list[str]:
    """Words on lines of that width; a word longer than a line is broken."""
    found: list[str] = []
    for row in broken_at(clean(words), width, size):
        rest = row
        while svg.text_width(rest, size) > width and len(rest) > 1:
            keep = len(rest) - 1
            while keep > 1 and svg.text_width(rest[:keep], size) > width:
                keep -= 1
            found.append(rest[:keep])
            rest = rest[keep:]
        found.append(rest)
    return found


def circuit_numbers(numbers: Sequence[str], catalog: Catalog) -> str:
    """A field of small labels, one for each breaker, each with its own line to cut along."""
    across = int((WIDEST_MM + TAG_GAP_MM) // (TAG_WIDE_MM + TAG_GAP_MM))
    parts = []
    for n, number in enumerate(numbers):
        x, y = n % across * (TAG_WIDE_MM + TAG_GAP_MM), n // across * (TAG_HIGH_MM + TAG_GAP_MM)
        size = type_size(TAG_LETTER_MM)
        fits = min(1.0, (TAG_WIDE_MM - 1.5) * U / max(svg.text_width(number, size), 1.0))
        parts.append(rect_mm(x + 0.1, y + 0.1, TAG_WIDE_MM - 0.2, TAG_HIGH_MM - 0.2, line=0.15, dash="12 8"))
        parts.append(text_mm(x + TAG_WIDE_MM / 2, y + (TAG_HIGH_MM + TAG_LETTER_MM * fits) / 2, number,
                             letter=TAG_LETTER_MM * fits, anchor="middle", weight=700))  # fmt: skip
    rows = -(-len(numbers) // across)
    height = rows * (TAG_HIGH_MM + TAG_GAP_MM)
    return drawing_mm(WIDEST_MM, height, parts, title=catalog.key("sheet.labels.numbers"), kind="print-size")
