"""What lies over something else in a drawing: judged from its marks alone, whoever placed them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from deadfront.documents.one_line.marks import Circle, Mark, Path, Rect, Words, around, extent, words_box
from deadfront.documents.one_line.page import Drawing

SLACK = 0.3  # what may overlap without being seen [pt]
LINES = ("wires", "buses", "enclosures", "frame")


@dataclass(frozen=True, slots=True)
class Clash:
    """Two things that lie over each other.

    Args:
        kind: "words": two labels; "symbol": a label over a symbol; "symbols": two symbols; "wire": a line through a
            label; "through": a line through a symbol that it does not end at; "off paper": outside the frame.
        first, second: What they say, or the names of the symbols.
    """

    kind: Literal["words", "symbol", "symbols", "wire", "through", "off paper"]
    first: str
    second: str = ""


def clashes(drawing: Drawing) -> list[Clash]:
    """Every clash of a drawing; empty for one that can be read."""
    words = [(mark, words_box(mark).grown(-SLACK)) for mark in drawing.marks()
             if isinstance(mark, Words) and mark.layer != "symbols"]  # fmt: skip
    symbols = [(g.id, box.grown(-SLACK)) for g in drawing.groups if (box := _symbol(g.marks)) is not None]
    lines = [(mark, each) for mark in drawing.marks() if mark.layer in LINES for each in _pieces(mark)]
    found = [*_words_over_words(words), *_words_over_symbols(words, symbols), *_symbols_over_symbols(symbols)]
    found += [Clash("wire", mark.say) for mark, box in words if any(box.meets(line) for _, line in lines)]
    found += _through(symbols, lines)
    paper = Rect(0, 0, drawing.width, drawing.height)
    found += [Clash("off paper", _named(mark)) for mark in drawing.marks() if not _inside(extent(mark), paper)]
    return found


def _named(mark: Mark) -> str:
    return mark.say if isinstance(mark, Words) else mark.layer


def _symbol(marks: tuple[Mark, ...]) -> Rect | None:
    parts = [extent(mark) for mark in marks if mark.layer == "symbols"]
    return around(parts) if parts else None


def _pieces(mark: Mark) -> Iterator[Rect]:
    """A line as thin rectangles, one for each straight piece."""
    if isinstance(mark, Path):
        for (x, y), (to_x, to_y) in pairwise(mark.points):
            yield Rect(min(x, to_x), min(y, to_y), max(x, to_x), max(y, to_y)).grown(mark.width / 2)
    elif isinstance(mark, Circle):
        yield extent(mark)


def _words_over_words(words: list[tuple[Words, Rect]]) -> Iterator[Clash]:
    ordered = sorted(words, key=lambda each: each[1].top)
    for number, (mark, box) in enumerate(ordered):
        for other, place in ordered[number + 1 :]:
            if place.top >= box.bottom:
                break
            if box.meets(place):
                yield Clash("words", mark.say, other.say)


def _words_over_symbols(words: list[tuple[Words, Rect]], symbols: list[tuple[str, Rect]]) -> Iterator[Clash]:
    for mark, box in words:
        for name, place in symbols:
            if box.meets(place):
                yield Clash("symbol", mark.say, name)


def _symbols_over_symbols(symbols: list[tuple[str, Rect]]) -> Iterator[Clash]:
    for number, (name, box) in enumerate(symbols):
        for other, place in symbols[number + 1 :]:
            if box.meets(place):
                yield Clash("symbols", name, other)


def _through(symbols: list[tuple[str, Rect]], lines: list[tuple[Mark, Rect]]) -> Iterator[Clash]:
    """Lines that go into a symbol, not just to its edge."""
    for name, box in symbols:
        inner = box.grown(-1.5)
        if inner.left < inner.right and inner.top < inner.bottom and any(inner.meets(line) for _, line in lines):
            yield Clash("through", name)


def _inside(box: Rect, paper: Rect) -> bool:
    return box.left >= paper.left and box.top >= paper.top and box.right <= paper.right and box.bottom <= paper.bottom
