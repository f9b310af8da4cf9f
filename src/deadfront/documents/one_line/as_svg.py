"""A one-line as SVG, for screen and paper alike."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from deadfront.documents import svg
from deadfront.documents.one_line.drawn import Group
from deadfront.documents.one_line.marks import Circle, Mark, Path, Words, around, extent
from deadfront.documents.one_line.page import Drawing

OTHER_FACES = f"{svg.FACE}, Arial, Helvetica, sans-serif"


def one_line_file(drawing: Drawing) -> str:
    """The drawing as a file of its own: in any other typeface its words keep the width they have here."""
    parts = [f"<desc>{escape(drawing.told)}</desc>"]
    parts += [_fitted(mark) if isinstance(mark, Words) else _mark(mark) for mark in drawing.marks()]
    return svg.drawing(drawing.width, drawing.height, parts, title=drawing.title, kind="one-line")


def _fitted(mark: Words) -> str:
    wide = f"{svg.text_width(mark.say, mark.size):.2f}"
    named = svg.attributes(x=mark.x, y=mark.y, font_family=OTHER_FACES, font_size=_fine(mark.size), fill=svg.INK,
                           font_weight=700 if mark.bold else 400, text_anchor=mark.anchor, textLength=wide,
                           lengthAdjust="spacingAndGlyphs")  # fmt: skip
    return f"<text{named}>{escape(mark.say)}</text>"


def one_line_svg(drawing: Drawing, *, movable: bool = False) -> str:
    """The drawing as one picture.

    Args:
        movable: Every symbol is a group that can be picked up on a screen, by its name in the drawing.
    """
    parts = [f"<desc>{escape(drawing.told)}</desc>", *(_mark(mark) for mark in drawing.loose)]
    parts += [_group(group, movable) for group in drawing.groups]
    return svg.drawing(drawing.width, drawing.height, parts, title=drawing.title, kind="one-line",
                       role="group" if movable else "img")  # fmt: skip


def _group(group: Group, movable: bool) -> str:
    inside = "".join(_marks(group.marks))
    if not movable:
        return f"<g>{inside}</g>"
    named = svg.attributes(data_id=group.id, data_under=" ".join(group.under) or None, tabindex=0, role="button",
                           aria_label=group.name, class_="symbol")  # fmt: skip
    box = around(extent(mark) for mark in group.marks)
    hand = svg.element("rect", x=box.left, y=box.top, width=box.right - box.left, height=box.bottom - box.top,
                       fill="none", pointer_events="all")  # fmt: skip
    return f"<g{named}>{hand}{inside}</g>"


def _marks(marks: tuple[Mark, ...]) -> Iterator[str]:
    return (_mark(mark) for mark in marks)


def _mark(mark: Mark) -> str:
    if isinstance(mark, Path):
        return _path(mark)
    if isinstance(mark, Circle):
        fill = svg.INK if mark.filled else "none"
        return svg.element("circle", cx=mark.x, cy=mark.y, r=mark.radius, fill=fill, stroke=svg.INK,
                           stroke_width=_fine(mark.width))  # fmt: skip
    return svg.text(
        mark.x, mark.y, mark.say, size=float(_fine(mark.size)), anchor=mark.anchor, weight=700 if mark.bold else 400
    )


def _path(mark: Path) -> str:
    drawn = "M" + "L".join(f"{svg.short(x)} {svg.short(y)}" for x, y in mark.points)
    if mark.filled:
        return svg.element("path", d=f"{drawn}Z", fill=svg.INK)
    return svg.element("path", d=drawn, fill="none", stroke=svg.INK, stroke_width=_fine(mark.width),
                       stroke_linejoin="round", stroke_dasharray="4 3" if mark.dashed else None)  # fmt: skip


def _fine(value: float) -> str:
    """Two digits after the point: line widths and type sizes."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
