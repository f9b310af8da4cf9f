"""Pictures that measure: the ruler of amperes against a rating, to scale, drawn once for screen and paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.documents.numbers import number
from deadfront.quantities import Interval
from deadfront.worksheet.check import Outcome

WIDE, NARROW = 640, 360
EDGE = 18.0
SIZE, TICK_SIZE = 14.0, 13.0
BAR, LANE, ABOVE = 12.0, 27.0, 19.0
TOP, LIMIT_WIDTH, GAP, SHAPE = 26.0, 2.4, 9.0, 12.0
LEAST_MARK = 6.0
MOST_TICKS = {WIDE: 8, NARROW: 5}
_COLOR = {
    Outcome.MEETS: "#1f4e79",
    Outcome.FAILS: "#b3261e",
    Outcome.CANNOT_TELL: "#7d5200",
    Outcome.NOT_APPLICABLE: svg.SOFT,
}


@dataclass(frozen=True, slots=True)
class RulerBar:
    """One method on the ruler: its name, its amperes, how it stands to the rating."""

    label: str
    value: Interval
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Scale:
    """Amperes to places on the picture, from zero."""

    width: float
    most_a: float
    step_a: float

    def x(self, amperes: Decimal | float) -> float:
        """The place of so many amperes."""
        return EDGE + float(amperes) / self.most_a * (self.width - 2 * EDGE)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a label stands: its left and right end, and whether it needs a line of its own above the bar."""

    left: float
    right: float
    above: bool


def ruler_scale(bars: Sequence[RulerBar], rating: Interval, width: int = WIDE) -> Scale:
    """A scale from zero that holds every known end and the rating, with round steps."""
    ends = [float(rating.high) * 1.12] if rating.high else [1.0]
    for bar in bars:
        ends.append(float(bar.value.low) * 1.15 if bar.value.high is None else float(bar.value.high) * 1.02)
    wanted = max(ends) / MOST_TICKS.get(width, 6)
    power = 10.0 ** (len(str(int(wanted))) - 1)
    step = next(m * power for m in (1, 2, 2.5, 4, 5, 10) if m * power >= wanted and (m != 2.5 or power > 1))
    half = step / 2
    return Scale(float(width), ceil(max(ends) / half) * half, step)


def label_text(bar: RulerBar, catalog: Catalog) -> str:
    """What stands beside a bar: its name and its amperes."""
    return f"{bar.label} {catalog.quantity(bar.value, 'A')}"


def limit_place(scale: Scale, rating: Interval) -> float:
    """Where the line of the rating stands; far off the picture where no rating is known."""
    return -1000.0 if rating.high is None else scale.x(rating.high)


def bar_ends(bar: RulerBar, scale: Scale) -> tuple[float, float]:
    """Left and right end of a bar; an exact value is a narrow mark, an open one runs to the edge."""
    left = scale.x(bar.value.low)
    right = scale.width - 4 if bar.value.high is None else scale.x(bar.value.high)
    if right - left >= LEAST_MARK:
        return left, right
    middle = (left + right) / 2
    return middle - LEAST_MARK / 2, middle + LEAST_MARK / 2


def label_place(bar: RulerBar, scale: Scale, rating: Interval, words: str) -> Place:
    """Beside the bar where neither the bar, the rating's line nor the edge is in the way, else above it."""
    left, right = bar_ends(bar, scale)
    limit = limit_place(scale, rating)
    wide = SHAPE + 5 + svg.text_width(words, SIZE)

    def free(start: float) -> bool:
        clear = start > limit + GAP or start + wide < limit - GAP
        return start >= 2 and start + wide <= scale.width - 2 and clear

    for start in (right + GAP, left - GAP - wide, limit - GAP - 1 - wide, limit + GAP + 1):
        if free(start) and (start >= right + GAP or start + wide <= left - GAP):
            return Place(start, start + wide, False)
    for start in (left, right - wide, limit + GAP + 1, EDGE, scale.width - 2 - wide):
        if free(start):
            return Place(start, start + wide, True)
    return Place(2, 2 + wide, True)


def ruler(bars: Sequence[RulerBar], rating: Interval, catalog: Catalog, *, width: int = WIDE) -> str:
    """Amperes of each method as a bar against a rating.

    Solid meets, hatched does not meet, hollow cannot tell, dashed does not apply; the verdict's shape stands
    before each label. A bar without a known upper end runs out in an arrow head. A rating that is only known
    to be at most so much is a dashed line there; one not known at all has no line.
    """
    scale = ruler_scale(bars, rating, width)
    limit = limit_place(scale, rating)
    parts: list[str] = []
    lines: list[tuple[float, float]] = []
    y = line_from = TOP
    for bar in bars:
        words = label_text(bar, catalog)
        place = label_place(bar, scale, rating, words)
        if place.above:
            if place.left < limit + GAP and place.right > limit - GAP:
                lines.append((line_from, y + 2))
                line_from = y + ABOVE
            parts += _label(place.left, y + 15, bar, words)
            y += ABOVE
        else:
            parts += _label(place.left, y + LANE / 2 + 5, bar, words)
        parts.append(_bar(bar, scale, y + (LANE - BAR) / 2))
        y += LANE
    axis = y + 6
    lines.append((line_from, axis))
    if rating.high is not None:
        parts += [_limit(limit, low, high, rating.exact) for low, high in lines if high > low]
    parts += [_limit_name(limit, scale, rating, catalog), *_axis(scale, axis)]
    return svg.drawing(width, axis + 30, parts, title=_spoken(bars, rating, catalog), kind=f"ruler {_kind(width)}")


def ruler_picture(bars: Sequence[RulerBar], rating: Interval, catalog: Catalog) -> str:
    """The ruler for a desk or paper, and after it the one for a phone; paper takes the first."""
    return "".join(ruler(bars, rating, catalog, width=width) for width in (WIDE, NARROW))


def _kind(width: int) -> str:
    return "narrow" if width <= NARROW else "wide"


def _spoken(bars: Sequence[RulerBar], rating: Interval, catalog: Catalog) -> str:
    parts = [
        catalog.key("ruler.part", label=b.label, amount=catalog.range(b.value, "A"), outcome=b.outcome) for b in bars
    ]
    return catalog.key("ruler.alt", rating=_rating_words(rating, catalog), parts="; ".join(parts))


def _rating_words(rating: Interval, catalog: Catalog) -> str:
    if rating.high is None:
        return catalog.key("ruler.unknown")
    return catalog.key("ruler.service" if rating.exact else "ruler.at_most", rating_a=rating.high)


def _label(x: float, y: float, bar: RulerBar, words: str) -> list[str]:
    color = _COLOR[bar.outcome]
    return [_shape(bar.outcome, x, y - 10.5, color), svg.text(x + SHAPE + 5, y, words, size=SIZE, fill=color)]


def _shape(outcome: Outcome, x: float, y: float, color: str) -> str:
    if outcome is Outcome.MEETS:
        return svg.element("circle", cx=x + 6, cy=y + 6, r=4.8, fill=color)
    if outcome is Outcome.FAILS:
        return svg.element("rect", x=x + 1.5, y=y + 1.5, width=9, height=9, fill=color)
    diamond = f"M{svg.short(x + 6)} {svg.short(y + 1)}l5 5-5 5-5-5Z"
    dash = f"M{svg.short(x + 2)} {svg.short(y + 6)}h8"
    path = diamond if outcome is Outcome.CANNOT_TELL else dash
    return svg.element("path", d=path, fill="none", stroke=color, stroke_width=1.6)


def _bar(bar: RulerBar, scale: Scale, y: float) -> str:
    left, right = bar_ends(bar, scale)
    head = 10.0 if bar.value.high is None else 0.0
    color, wide = _COLOR[bar.outcome], right - left - head
    solid = bar.outcome is Outcome.MEETS
    dash = "4 3" if bar.outcome is Outcome.NOT_APPLICABLE else None
    fill = color if solid else "none"
    drawn = svg.element(
        "rect", x=left + 0.7, y=y + 0.7, width=max(wide - 1.4, 1.0), height=BAR - 1.4, fill=fill, stroke=color,
        stroke_width=1.4, stroke_dasharray=dash,
    )  # fmt: skip
    if bar.outcome is Outcome.FAILS:
        drawn += svg.element("path", d=_hatching(left, y, wide), fill="none", stroke=color, stroke_width=1.4)
    if head:
        tip = f"M{svg.short(right - head)} {svg.short(y - 3)}l{svg.short(head)} {svg.short(BAR / 2 + 3)}"
        back = f"-{svg.short(head)} {svg.short(BAR / 2 + 3)}Z"
        drawn += svg.element("path", d=tip + back, fill=color)
    return drawn


def _hatching(left: float, y: float, wide: float) -> str:
    """Slanted strokes inside a bar, cut at its ends (no pattern: those fail in hidden pictures)."""
    strokes, at = [], -BAR
    while at < wide:
        start, end = max(at, 0.0), min(at + BAR, wide)
        if end > start:
            strokes.append(
                f"M{svg.short(left + start)} {svg.short(y + BAR - (start - at))}"
                f"L{svg.short(left + end)} {svg.short(y + BAR - (end - at))}"
            )
        at += 5.0
    return "".join(strokes)


def _limit(x: float, top: float, bottom: float, exact: bool) -> str:
    path = f"M{svg.short(x)} {svg.short(top - 4)}V{svg.short(bottom)}"
    dash = None if exact else "7 4"
    return svg.element("path", d=path, fill="none", stroke=svg.INK, stroke_width=LIMIT_WIDTH, stroke_dasharray=dash)


def _limit_name(x: float, scale: Scale, rating: Interval, catalog: Catalog) -> str:
    words = _rating_words(rating, catalog)
    half = svg.text_width(words, SIZE) / 2
    middle = min(max(x, half + 2), scale.width - half - 2)
    return svg.text(middle, TOP - 10, words, size=SIZE, anchor="middle", weight=700)


def _axis(scale: Scale, y: float) -> list[str]:
    path = f"M{svg.short(EDGE)} {svg.short(y)}H{svg.short(scale.x(scale.most_a))}"
    names, at, half = [], 0, scale.step_a / 2
    while at * half <= scale.most_a + 1e-9:
        x, named = scale.x(at * half), at % 2 == 0
        path += f"M{svg.short(x)} {svg.short(y)}v{9 if named else 5}"
        if named:
            last = x > scale.width - EDGE - 12
            words = number(Decimal(str(at * half))) + (" A" if at == 0 else "")
            anchor, place = ("end", scale.width - 2) if last else ("start", 2.0) if at == 0 else ("middle", x)
            names.append(svg.text(place, y + 24, words, size=TICK_SIZE, anchor=anchor, fill=svg.SOFT, face=svg.MONO))
        at += 1
    return [svg.element("path", d=path, fill="none", stroke=svg.INK, stroke_width=1.2), *names]
