"""Where every symbol stands: from the top down, each above what hangs from it, side by side without touching.

A symbol's words stand to its right, those of its conductors along the wire above it. What hangs from one symbol is put
as near to its neighbor as both outlines let it. The same house gives the same drawing, always.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from deadfront.documents import svg
from deadfront.documents.one_line.labels import label_of
from deadfront.documents.one_line.marks import LINE_HEIGHT, Rect, around
from deadfront.documents.one_line.profile import Profile, profile_of
from deadfront.documents.one_line.symbols import SYMBOLS, Symbol
from deadfront.documents.one_line.told import Telling
from deadfront.documents.one_line.twig import Twig
from deadfront.documents.panel_sheets.fitting import TAGS, broken_at, clean

SIZE = 7.0  # of the type [pt]
LINE = SIZE * LINE_HEIGHT
WIDE, HEAD_WIDE, WIRE_WIDE = 84.0, 150.0, 80.0
"""Widest line beside a symbol, above a bus, along a conductor [pt]."""
BESIDE, ALONG, APART, RISE, TURN = 5.0, 4.0, 5.0, 9.0, 7.0
BUS_OUT, EDGE = 12.0, 4.0
Nudges = Mapping[str, tuple[float, float]]


@dataclass(eq=False)
class Laid:
    """A symbol in its place.

    Args:
        twig: What it stands for.
        symbol: Its marks; a bus has none of its own.
        name, lines, above: Its words, broken into lines: name, facts, those of its conductors.
        grounded: Whether the ground symbol stands at it.
        x, y: Its upper terminal; of the root of a part, where that part begins.
        foot: Height of what it takes below its upper terminal; wires turn under it.
        lower: How much lower it hangs: from a bus, what is not in its enclosure begins under that.
        below, beside: What hangs from it, placed against it.
        box: Enclosure of a panel, as it lies.
        ends: Left and right end of a bus.
    """

    twig: Twig
    symbol: Symbol
    name: tuple[str, ...]
    lines: tuple[str, ...]
    above: tuple[str, ...]
    grounded: bool
    x: float = 0.0
    y: float = 0.0
    foot: float = 0.0
    lower: float = 0.0
    below: list[Laid] = field(default_factory=list)
    beside: list[Laid] = field(default_factory=list)
    box: Rect | None = None
    ends: tuple[float, float] = (0.0, 0.0)
    outline: Profile = field(default_factory=Profile)

    @property
    def is_bus(self) -> bool:
        """Whether it is the bus of a panel."""
        return self.twig.kind == "bus"

    @property
    def rise(self) -> float:
        """Room above its upper terminal: for a turn of the wire and the words along it [pt]."""
        along = len(self.above) * LINE + 2 if self.above else 0.0
        return TURN + max(RISE, along + self.lift) + self.lower

    @property
    def lift(self) -> float:
        """How far the words along its wire stay above its terminal: over the wire from beside, over an enclosure."""
        return 12.0 if self.beside else EDGE + 3 if self.is_bus or self.encloses else 2.0

    @property
    def encloses(self) -> bool:
        """Whether it is the main of the panel below it."""
        return len(self.below) == 1 and self.below[0].is_bus and self.below[0].twig.thing == self.twig.enclosure

    def words_box(self) -> Rect:
        """The place of its own words, against its terminal."""
        rows = (*self.name, *self.lines)
        wide = max((svg.text_width(row, SIZE) for row in rows), default=0.0)
        left = (0.0 if self.is_bus else self.symbol.right) + BESIDE
        return Rect(left, 0.0, left + wide, len(rows) * LINE)

    def above_box(self) -> Rect | None:
        """The place of the words along its conductors, against its terminal."""
        if not self.above:
            return None
        wide = max(svg.text_width(row, SIZE) for row in self.above)
        bottom = -self.lift
        return Rect(ALONG, bottom - len(self.above) * LINE, ALONG + wide, bottom)

    def symbol_box(self) -> Rect:
        """The place of its symbol, the ground symbol beside it included, against its terminal."""
        if self.is_bus:
            left = self.ends[0] - (18 if self.grounded else 0)
            return Rect(left, self.symbol.height - 2, self.ends[1], self.symbol.height + (12 if self.grounded else 2))
        return Rect(-self.symbol.left - (16 if self.grounded else 0), 0.0, self.symbol.right, self.symbol.height)

    def all(self) -> list[Laid]:
        """Itself and everything that hangs from it."""
        return [self, *(one for each in (*self.below, *self.beside) for one in each.all())]


def laid_out(roots: list[Twig], telling: Telling, nudges: Nudges) -> list[Laid]:
    """Every root in its place, side by side, nudges added."""
    made = [_worded(root, telling) for root in roots]
    for each in made:
        _lay(each)
    outline = Profile()
    for each in made:
        each.x = 0.0 if not outline.lefts else max(outline.room(each.outline, 0.0) + 2 * APART, 0.0)
        outline.take(each.outline, each.x, 0.0)
    for each in made:
        _settle(each, each.x, each.y, nudges)
    for each in made:
        _boxes(each)
    return made


def _worded(twig: Twig, telling: Telling) -> Laid:
    """A symbol and all that hangs from it, with their words, not in their places yet."""
    label = label_of(twig, telling)
    symbol = Symbol((), 0.0, 0.0, 0.0) if twig.kind == "bus" else SYMBOLS[twig.kind]()
    wide = HEAD_WIDE if twig.kind == "bus" else WIDE
    lines = tuple(row for line in label.lines for row in _rows(clean(line), wide))
    above = _along(label.above)
    one = Laid(twig, symbol, _rows(clean(label.name), wide), lines, above, label.grounded)
    one.below = [_worded(each, telling) for each in twig.below]
    one.beside = [_worded(each, telling) for each in twig.beside]
    words = one.words_box()
    if one.is_bus:
        one.symbol = Symbol((), 0.0, 0.0, words.bottom + 5)
    one.foot = max(one.symbol.height, words.bottom)
    return one


def _along(parts: tuple[str, ...]) -> tuple[str, ...]:
    """Words along a wire: several parts on a line where they fit, a part on two only where it must."""
    rows: list[str] = []
    for part in map(clean, parts):
        if rows and svg.text_width(f"{rows[-1]}, {part}", SIZE) <= WIRE_WIDE:
            rows[-1] += f", {part}"
        else:
            rows[-1:] = [f"{row}," for row in rows[-1:]]
            rows += _rows(part, WIRE_WIDE)
    return tuple(rows)


def _rows(words: str, wide: float) -> tuple[str, ...]:
    """Words broken into lines, a tag or a "?" never alone on one."""
    rows = broken_at(" ".join(_pieces(word, wide) for word in words.split()), wide, SIZE)
    if len(rows) > 1 and rows[-1] in (*TAGS, "?") and " " in rows[-2]:
        head, _, last = rows[-2].rpartition(" ")
        rows = (*rows[:-2], head, f"{last} {rows[-1]}")
    return rows


def _pieces(word: str, wide: float) -> str:
    """A word too wide for a line, in pieces that are not."""
    pieces = [""]
    for char in word:
        if pieces[-1] and svg.text_width(pieces[-1] + char, SIZE) > wide:
            pieces.append("")
        pieces[-1] += char
    return " ".join(pieces)


def _lay(one: Laid) -> None:
    """Put everything that hangs from a symbol in its place against it."""
    if one.is_bus:  # what leaves the panel begins below its enclosure
        inside = [each for each in one.below if each.twig.enclosure == one.twig.thing]
        foot = max((each.foot for each in inside), default=0.0)
        for each in inside:
            each.foot = foot + EDGE + 2 if each.below else each.foot
        for each in one.below:
            each.lower = 0.0 if each in inside else foot + RISE + EDGE + 4
    for each in (*one.below, *one.beside):
        _lay(each)
    _hang(one)
    _stand_beside(one)


def _hang(one: Laid) -> None:
    """Put what hangs below in a row, the symbol over its middle; take everything into the outline."""
    row = Profile()
    for each in one.below:
        each.y = one.foot + each.rise - (TURN if one.is_bus or len(one.below) == 1 else 0.0)
        each.x = row.room(each.outline, each.y) if row.lefts else 0.0
        row.take(each.outline, each.x, each.y)
    middle = (one.below[0].x + one.below[-1].x) / 2 if one.below else 0.0
    for each in one.below:
        each.x -= middle
    one.ends = (
        min([-BUS_OUT, *(e.x - BUS_OUT for e in one.below)]),
        max([BUS_OUT, *(e.x + BUS_OUT for e in one.below)]),
    )
    rects = [one.words_box(), one.symbol_box(), Rect(-1, -one.rise, 1, one.foot)]
    rects += [box for box in (one.above_box(),) if box is not None]
    for each in one.below:
        rects.append(Rect(min(0.0, each.x), one.foot, max(0.0, each.x), one.foot + TURN))
        rects.append(Rect(each.x - 1, one.foot, each.x + 1, each.y))
    one.outline = profile_of(rect.grown(APART) for rect in rects)
    for each in one.below:
        one.outline.take(each.outline, each.x, each.y)
    if one.is_bus or one.encloses:
        one.outline.add(_box(one).grown(APART))


def _stand_beside(one: Laid) -> None:
    """Put what comes in at the other upper terminal to the right, its wire going over the words."""
    for each in one.beside:
        each.y = each.rise - TURN
        least = max(one.words_box().right, one.symbol.beside) + 2 * APART
        each.x = max(one.outline.room(each.outline, each.y), least)
        one.outline.take(each.outline, each.x, each.y)
        one.outline.add(Rect(one.symbol.beside, -TURN, each.x, -TURN + 1).grown(2))
    if one.beside and (box := one.above_box()) is not None:
        one.outline.add(box.grown(APART))


def _box(one: Laid) -> Rect:
    """The enclosure of a panel against the terminal of its bus or its main: bus, words, breakers, main."""
    bus = one if one.is_bus else one.below[0]
    dx, dy = (0.0, 0.0) if one.is_bus else (bus.x, bus.y)
    inside = [bus.words_box(), bus.symbol_box()]
    for each in bus.below:
        if each.twig.enclosure == bus.twig.thing:
            inside += [each.symbol_box().moved(each.x, each.y), each.words_box().moved(each.x, each.y)]
    rects = [each.moved(dx, dy) for each in inside]
    if not one.is_bus:
        rects += [one.symbol_box(), one.words_box()]
    return around(rects).grown(EDGE)


def _boxes(one: Laid) -> None:
    """Enclosures where everything has settled."""
    for each in one.all():
        if not (each.is_bus or each.encloses):
            continue
        bus = each if each.is_bus else each.below[0]
        inside = [each, bus, *(b for b in bus.below if b.twig.enclosure == bus.twig.thing)]
        if each.is_bus and bus.box is not None:
            continue
        bus.box = around([r.moved(b.x, b.y) for b in inside for r in (b.words_box(), b.symbol_box())]).grown(EDGE)


def _settle(one: Laid, x: float, y: float, nudges: Nudges) -> None:
    """From places against each other to places on the paper; a nudge moves what hangs from it along."""
    dx, dy = nudges.get(one.twig.id, (0.0, 0.0))
    one.x, one.y = x + dx, y + dy
    for each in (*one.below, *one.beside):
        _settle(each, one.x + each.x, one.y + each.y, nudges)
    if one.is_bus:
        reach = [each.x - one.x for each in one.below]
        one.ends = (min([-BUS_OUT, *(r - BUS_OUT for r in reach)]), max([BUS_OUT, *(r + BUS_OUT for r in reach)]))
