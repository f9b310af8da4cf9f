"""What a drawing is made of: lines, circles and words, each on a layer, in points (1/72 in), y downward."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from deadfront.documents import svg

Layer = Literal["symbols", "wires", "buses", "enclosures", "labels", "legend", "frame"]
Point = tuple[float, float]
LINE_HEIGHT = 1.18  # from line to line, in parts of the type size
ASCENT, DESCENT = 0.78, 0.24  # of letters above and below their line, in parts of the type size


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle by its edges."""

    left: float
    top: float
    right: float
    bottom: float

    def moved(self, dx: float, dy: float) -> Rect:
        """The same, elsewhere."""
        return Rect(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)

    def grown(self, by: float) -> Rect:
        """With a margin all round."""
        return Rect(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: Rect) -> bool:
        """Whether the two share any area."""
        return (
            self.left < other.right and other.left < self.right
            and self.top < other.bottom and other.top < self.bottom
        )  # fmt: skip


def around(rects: Iterable[Rect]) -> Rect:
    """The smallest rectangle round several; at least one."""
    found = tuple(rects)
    return Rect(
        min(r.left for r in found), min(r.top for r in found), max(r.right for r in found), max(r.bottom for r in found)
    )


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points.

    Args:
        width: Of the line [pt].
        filled: Closed and filled.
        dashed: Enclosures and links of control.
    """

    points: tuple[Point, ...]
    layer: Layer = "symbols"
    width: float = 0.9
    filled: bool = False
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; filled for a joint."""

    x: float
    y: float
    radius: float
    layer: Layer = "symbols"
    filled: bool = False
    width: float = 0.9


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words; y is the line they stand on."""

    x: float
    y: float
    say: str
    size: float
    bold: bool = False
    anchor: Literal["start", "middle"] = "start"
    layer: Layer = "labels"


Mark = Path | Circle | Words


def moved(mark: Mark, dx: float, dy: float, layer: Layer | None = None) -> Mark:
    """The same mark elsewhere, on another layer if asked."""
    on = layer or mark.layer
    if isinstance(mark, Path):
        at = tuple((x + dx, y + dy) for x, y in mark.points)
        return Path(at, on, mark.width, mark.filled, mark.dashed)
    if isinstance(mark, Circle):
        return Circle(mark.x + dx, mark.y + dy, mark.radius, on, mark.filled, mark.width)
    return Words(mark.x + dx, mark.y + dy, mark.say, mark.size, mark.bold, mark.anchor, on)


def words_box(words: Words) -> Rect:
    """The place that words take, by the advances of the typeface."""
    wide = svg.text_width(words.say, words.size)
    left = words.x - (wide / 2 if words.anchor == "middle" else 0)
    return Rect(left, words.y - ASCENT * words.size, left + wide, words.y + DESCENT * words.size)


def extent(mark: Mark) -> Rect:
    """The place that a mark takes."""
    if isinstance(mark, Words):
        return words_box(mark)
    if isinstance(mark, Circle):
        return Rect(mark.x, mark.y, mark.x, mark.y).grown(mark.radius)
    xs, ys = [x for x, _ in mark.points], [y for _, y in mark.points]
    return Rect(min(xs), min(ys), max(xs), max(ys))
