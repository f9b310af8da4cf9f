"""The marks of a one-line: every symbol with its words as a group, and the wires between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from deadfront.documents.one_line.layout import ALONG, BESIDE, LINE, SIZE, TURN, Laid
from deadfront.documents.one_line.marks import ASCENT, Circle, Mark, Path, Words, moved
from deadfront.documents.one_line.symbols import earth


@dataclass(frozen=True, slots=True)
class Group:
    """The marks of one symbol.

    Args:
        id: Its name in the drawing.
        name: What it is called.
        marks: Its symbol, its words and those of its conductors.
        under: Names of what hangs from it: they move with it.
    """

    id: str
    name: str
    marks: tuple[Mark, ...]
    under: tuple[str, ...] = ()


def group_of(one: Laid) -> Group:
    """A symbol with its words where it stands."""
    marks = [moved(mark, one.x, one.y) for mark in one.symbol.marks]
    marks += [*_bus(one), *_words(one)]
    if one.grounded:
        x, y = (one.ends[0], one.symbol.height) if one.is_bus else (-one.symbol.left + 1, one.symbol.height / 2)
        marks += [moved(mark, one.x, one.y) for mark in earth(x, y)]
    return Group(one.twig.id, " ".join(one.name), tuple(marks), tuple(each.twig.id for each in one.all()[1:]))


def _bus(one: Laid) -> Iterator[Mark]:
    if one.is_bus:
        y = one.y + one.symbol.height
        yield Path(((one.x, one.y), (one.x, y)), "wires")
        yield Path(((one.x + one.ends[0], y), (one.x + one.ends[1], y)), "buses", 2.4)


def _words(one: Laid) -> Iterator[Words]:
    left = one.x + (0.0 if one.is_bus else one.symbol.right) + BESIDE
    for row, (say, bold) in enumerate([*((n, True) for n in one.name), *((n, False) for n in one.lines)]):
        yield Words(left, one.y + row * LINE + ASCENT * SIZE, say, SIZE, bold)
    top = one.y - one.lift - len(one.above) * LINE
    for row, say in enumerate(one.above):
        yield Words(one.x + ALONG, top + row * LINE + ASCENT * SIZE, say, SIZE)


def wires_of(one: Laid) -> Iterator[Mark]:
    """The wires from a symbol to what hangs from it, at right angles, with a dot where they part."""
    start = one.y + one.symbol.height
    for each in one.below:
        if one.is_bus:
            yield Path(((each.x, start), (each.x, each.y)), "wires")
        else:
            yield Path(_turned(one.x, start, each.x, each.y, one.y + one.foot + TURN / 2), "wires")
    if len(one.below) > 1 and not one.is_bus and one.twig.kind != "point":
        yield Circle(one.x, one.y + one.foot + TURN / 2, 1.8, "wires", filled=True)
    for each in one.beside:
        over = min(one.y, each.y) - TURN
        x = one.x + one.symbol.beside
        yield Path(((x, one.y), (x, over), (each.x, over), (each.x, each.y)), "wires")


def _turned(x: float, start: float, to: float, end: float, turn: float) -> tuple[tuple[float, float], ...]:
    if abs(x - to) < 0.01:
        return ((x, start), (x, end))
    turn = turn if start < turn < end else (start + end) / 2
    return ((x, start), (x, turn), (to, turn), (to, end))


def boxes_of(one: Laid) -> Iterator[Mark]:
    """The enclosure of a panel, dashed."""
    if one.box is not None:
        b = one.box
        corners = ((b.left, b.top), (b.right, b.top), (b.right, b.bottom), (b.left, b.bottom), (b.left, b.top))
        yield Path(corners, "enclosures", 0.5, dashed=True)
