"""The drawing on its paper: the smallest sheet that holds it with type that can be read, title and legend below."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.documents.one_line.drawn import Group
from deadfront.documents.one_line.layout import LINE, SIZE
from deadfront.documents.one_line.marks import ASCENT, Circle, Mark, Path, Rect, Words, around, extent, moved
from deadfront.documents.one_line.symbols import SYMBOLS, earth
from deadfront.documents.panel_sheets.fitting import broken_at

INCH = 72.0
PAPERS = ((11.0, 8.5), (8.5, 11.0), (17.0, 11.0), (22.0, 17.0), (34.0, 22.0), (44.0, 34.0))
"""Width and height of the sheets it may be drawn on, in inches, the smallest first."""
MARGIN = 30.0
LEAST_SCALE, MOST_SCALE = 0.86, 1.3
TITLE_SIZE = 11.0
GAP, LEGEND_SCALE = 10.0, 0.7


@dataclass(frozen=True, slots=True)
class Drawing:
    """A one-line on its paper.

    Args:
        width, height: Of the paper [pt].
        groups: Every symbol with its words.
        loose: Wires, enclosures, title, legend.
        scale: How much smaller than full size the symbols are drawn.
        title: What it is, in words.
        told: Everything in it in words, for those who hear it.
        asks: Facts that stand as "?", as (thing, fact).
        removed: What the work takes out, as id and name.
    """

    width: float
    height: float
    groups: tuple[Group, ...]
    loose: tuple[Mark, ...]
    scale: float
    title: str
    told: str = ""
    asks: tuple[tuple[str, str], ...] = ()
    removed: tuple[str, ...] = ()

    def marks(self) -> Iterator[Mark]:
        """Every mark of it."""
        yield from self.loose
        for group in self.groups:
            yield from group.marks


@dataclass(frozen=True, slots=True)
class Below:
    """What stands under the drawing: its title, place, date and draft, the symbols used, notes."""

    title: str
    stamp: tuple[str, ...]
    kinds: tuple[str, ...]
    notes: tuple[str, ...]


def on_paper(groups: Sequence[Group], loose: Sequence[Mark], below: Below, catalog: Catalog) -> Drawing:
    """The drawing on the smallest paper that holds it."""
    marks = [*loose, *(mark for group in groups for mark in group.marks)]
    whole = around(extent(mark) for mark in marks)
    for number, (wide, high) in enumerate(PAPERS, 1):
        width, height = wide * INCH, high * INCH
        under, tall = _under(below, width - 2 * MARGIN, catalog)
        room = height - 2 * MARGIN - tall - GAP
        scale = min(MOST_SCALE, (width - 2 * MARGIN) / (whole.right - whole.left), room / (whole.bottom - whole.top))
        if scale >= LEAST_SCALE or number == len(PAPERS):
            break
    dx = MARGIN + (width - 2 * MARGIN - scale * (whole.right - whole.left)) / 2 - scale * whole.left
    dy = MARGIN - scale * whole.top
    put = tuple(replace(g, marks=tuple(_scaled(m, scale, dx, dy) for m in g.marks)) for g in groups)
    frame = _frame(width, height)
    foot = height - MARGIN - tall
    legend = [moved(mark, MARGIN, foot) for mark in under]
    marks_put = (*(_scaled(mark, scale, dx, dy) for mark in loose), frame, *legend)
    return Drawing(width, height, put, marks_put, scale, below.title)


def _frame(width: float, height: float) -> Path:
    b = Rect(0, 0, width, height).grown(-MARGIN / 2)
    return Path(
        ((b.left, b.top), (b.right, b.top), (b.right, b.bottom), (b.left, b.bottom), (b.left, b.top)), "frame", 0.8
    )


def _scaled(mark: Mark, scale: float, dx: float, dy: float) -> Mark:
    if isinstance(mark, Path):
        return replace(mark, points=tuple((x * scale + dx, y * scale + dy) for x, y in mark.points),
                       width=mark.width * scale)  # fmt: skip
    x, y = mark.x * scale + dx, mark.y * scale + dy
    if isinstance(mark, Circle):
        return replace(mark, x=x, y=y, radius=mark.radius * scale, width=mark.width * scale)
    return replace(mark, x=x, y=y, size=mark.size * scale)


def _under(below: Below, wide: float, catalog: Catalog) -> tuple[list[Mark], float]:
    """Title, legend and notes in rows, and their height."""
    marks: list[Mark] = [
        Path(((0, 0), (wide, 0)), "frame", 0.6),
        Words(0, 6 + ASCENT * TITLE_SIZE, below.title, TITLE_SIZE, True, layer="legend"),
    ]
    y = 6 + TITLE_SIZE * 1.4
    for number, stamp in enumerate(below.stamp):
        for row in broken_at(stamp, wide, SIZE):
            marks.append(Words(0, y + ASCENT * SIZE, row, SIZE, number > 0, layer="legend"))
            y += LINE
    x, y, tall = 0.0, y + 4, 0.0
    for kind in below.kinds:
        say = catalog.key(f"one_line.legend.{kind}")
        drawn, left, right, height = _sample(kind)
        step = left + right + 4 + svg.text_width(say, SIZE) + 12
        if x and x + step > wide:
            x, y, tall = 0.0, y + tall + 5, 0.0
        marks += [moved(mark, x + left, y, "symbols" if isinstance(mark, Words) else "legend") for mark in drawn]
        marks.append(Words(x + left + right + 4, y + min(height, 16) / 2 + 2.5, say, SIZE, layer="legend"))
        x, tall = x + step, max(tall, height)
    y += tall + 6
    for note in below.notes:
        for row in broken_at(note, wide, SIZE):
            marks.append(Words(0, y + ASCENT * SIZE, row, SIZE, layer="legend"))
            y += LINE
    return marks, y


def _sample(kind: str) -> tuple[tuple[Mark, ...], float, float, float]:
    """A symbol for the legend: marks, reach to the left and right, height."""
    if kind == "earth":
        return earth(9, 2), 6, 9, 12
    if kind == "bus":
        return (Path(((0, 8), (20, 8)), "legend", 2.4),), 0, 20, 16
    if kind == "enclosure":
        corners = ((0.0, 2.0), (20.0, 2.0), (20.0, 14.0), (0.0, 14.0), (0.0, 2.0))
        return (Path(corners, "legend", 0.5, dashed=True),), 0, 20, 16
    symbol = SYMBOLS[kind]()
    small = tuple(_scaled(mark, LEGEND_SCALE, 0.0, 0.0) for mark in symbol.marks)
    return small, symbol.left * LEGEND_SCALE, symbol.right * LEGEND_SCALE, symbol.height * LEGEND_SCALE
