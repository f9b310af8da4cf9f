"""Drawing at print size: ten units to the millimeter, letters by the height of their capitals, lines to cut along."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from deadfront.documents import svg
from deadfront.documents.panel_sheets.fitting import Fitted, fitted
from deadfront.msg import Msg
from deadfront.worksheet.sheet import Picture

U = 10.0
"""Units of the drawing to a millimeter."""
CAPITAL = 0.668
"""Height of a capital letter in parts of the type size, of our typeface (measured from it)."""
INCH_MM = 25.4


def type_size(letter_mm: float) -> float:
    """Type size whose capitals are so high [units]."""
    return letter_mm * U / CAPITAL


def text_mm(
    x: float, y: float, words: str, *, letter: float, anchor: str = "start", weight: int = 400, fill: str = "#000"
) -> str:
    """Words at a place, both in millimeters, with capitals `letter` millimeters high."""
    return svg.text(x * U, y * U, words, size=type_size(letter), anchor=anchor, weight=weight, fill=fill)


def rect_mm(
    x: float, y: float, width: float, height: float, *, line: float = 0.3, fill: str = "none", dash: str | None = None
) -> str:
    """A rectangle in millimeters."""
    return svg.element("rect", x=x * U, y=y * U, width=width * U, height=height * U, fill=fill, stroke="#000",
                       stroke_width=line * U, stroke_dasharray=dash)  # fmt: skip


def cut_line(width: float, height: float) -> str:
    """The line to cut along, just inside the edge of the drawing."""
    return rect_mm(0.2, 0.2, width - 0.4, height - 0.4, line=0.2, dash="12 8")


def fit_mm(words: str, width: float, letter: float, lines: int = 1) -> Fitted:
    """Words in a width in millimeters, at first with capitals so high."""
    return fitted(words, width * U, type_size(letter), lines)


def drawing_mm(width: float, height: float, parts: Sequence[str], *, title: str, kind: str) -> str:
    """A drawing of that size in millimeters, on paper and on a screen that is wide enough."""
    drawn = svg.drawing(width * U, height * U, parts, title=title, kind=kind)
    return drawn.replace(" viewBox=", f' width="{width:.1f}mm" height="{height:.1f}mm" viewBox=', 1)


def picture_mm(drawn: str, say: Msg) -> Picture:
    """A drawing as a picture of exactly its own size on paper."""
    width = drawn.partition('viewBox="')[2].partition('"')[0].split()[2]
    return Picture(drawn, say, Decimal(width) / Decimal(str(U)))


def height_mm(drawn: str) -> float:
    """How high a drawing is on paper."""
    return float(drawn.partition('viewBox="')[2].partition('"')[0].split()[3]) / U
