"""Plots of a recording, readable in black: demand by share of time, by day and hour, and the week of the peak."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, date, datetime, tzinfo
from decimal import Decimal
from math import floor, log10

from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.quantities import point
from deadfront.recordings.answer import DayHours, PlotPoint
from deadfront.recordings.marks import DOUBTFUL, Mark

WIDE, HIGH = 640.0, 220.0
LEFT, RIGHT, TOP, BOTTOM = 64.0, 14.0, 14.0, 34.0
SIZE = 13.0
MOST_COLUMNS = 122
DOUBTS = frozenset(mark.name.lower() for mark in Mark if mark & DOUBTFUL and mark.name)
DAY_S = 86_400


def _round_top(most: float) -> tuple[float, float]:
    """A round upper end of an axis, and its step."""
    wanted = max(most, 1e-9) / 4
    power = 10.0 ** _power(wanted)
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= wanted)
    count = 1
    while step * count < most:
        count += 1
    return step * count, step


def _power(value: float) -> int:
    return floor(log10(value))


def _axes(top: float, step: float, unit: str) -> Iterator[str]:
    """The frame and the figures on the left, in the unit or in thousands of it."""
    shown, scale = (f"k{unit}", 1000.0) if top >= 1000 and unit != "A" else (unit, 1.0)
    path, at = "", 0.0
    while at <= top + step / 1000:
        y = _y(at, top)
        path += f"M{svg.short(LEFT - 4)} {svg.short(y)}H{svg.short(WIDE - RIGHT)}"
        label = f"{at / scale:g}" + (f" {shown}" if at + step > top else "")
        yield svg.text(LEFT - 8, y + 4.5, label, size=SIZE, anchor="end", fill=svg.SOFT, face=svg.MONO)
        at += step
    yield svg.element("path", d=path, fill="none", stroke=svg.SOFT, stroke_width=0.5)


def _y(value: float, top: float) -> float:
    return HIGH - BOTTOM - max(value, 0.0) / top * (HIGH - TOP - BOTTOM)


def duration_plot(curve: Sequence[tuple[float, float]], unit: str, catalog: Catalog) -> str:
    """The demand met or passed for each share of the time, falling."""
    most = max(demand for _, demand in curve)
    top, step = _round_top(most)
    width = WIDE - LEFT - RIGHT
    places = [f"{svg.short(LEFT + share * width)} {svg.short(_y(demand, top))}" for share, demand in curve]
    line = svg.element("path", d="M" + "L".join(places), fill="none", stroke=svg.INK, stroke_width=2.0)
    names = [
        svg.text(LEFT + share * width, HIGH - 10, f"{share * 100:g} %", size=SIZE,
                 anchor="end" if share == 1 else "middle", fill=svg.SOFT, face=svg.MONO)
        for share in (0.0, 0.25, 0.5, 0.75, 1.0)
    ]  # fmt: skip
    title = catalog.key("plot.duration")
    parts = [*_axes(top, step, unit), line, *names, *_peak_mark(LEFT, _y(most, top), most, unit, catalog)]
    return svg.drawing(WIDE, HIGH, parts, title=title, kind="plot")


def _peak_mark(x: float, y: float, most: float, unit: str, catalog: Catalog) -> Iterator[str]:
    """The largest figure, named beside a small triangle that points at it."""
    named = catalog.quantity(point(Decimal(repr(round(most, 1)))), unit)
    left = x < (LEFT + WIDE) / 2
    tip, side = (x + 3, 1) if left else (x - 3, -1)
    path = f"M{svg.short(tip)} {svg.short(y)}l{7 * side} -4v8z"
    width = svg.text_width(named, SIZE)
    corner = tip + 9 if left else tip - 11 - width
    yield svg.element("rect", x=corner, y=y - 8, width=width + 2, height=SIZE + 3, fill="#fff")
    yield svg.element("path", d=path, fill=svg.INK)
    yield svg.text(tip + 10 * side, y + 4.5, named, size=SIZE, anchor="start" if left else "end", weight=700)


def day_hours_plot(
    days: Sequence[DayHours], catalog: Catalog, doubts: Sequence[tuple[int, int]] = (), zone: tzinfo = UTC
) -> str:
    """The largest quarter hour of each hour (down) by day (across): the larger the square, the larger the demand.

    More days than columns: the largest of several days stands in one column. A bar under the frame marks every day
    that a doubtful stretch touches.

    Args:
        doubts: First and last second of every doubtful stretch.
        zone: The clock of the place.
    """
    per = -(-len(days) // MOST_COLUMNS)
    groups = [days[at : at + per] for at in range(0, len(days), per)]
    cell = min((WIDE - LEFT - RIGHT) / len(groups), 12.0)
    row = 9.0
    height = TOP + 24 * row + BOTTOM
    most = max((v for day in days for v in day.largest if v is not None), default=0.0)
    parts = [_squares(group, number, cell, row, most) for number, group in enumerate(groups)]
    names = [svg.text(LEFT - 8, TOP + hour * row + row, f"{hour} h", size=SIZE, anchor="end", fill=svg.SOFT)
             for hour in (0, 6, 12, 18)]  # fmt: skip
    right = LEFT + cell * len(groups)
    frame = svg.element("rect", x=LEFT, y=TOP, width=right - LEFT, height=24 * row, fill="none", stroke=svg.SOFT,
                        stroke_width=0.5)  # fmt: skip
    below = height - 10
    ends = [
        svg.text(LEFT, below, days[0].day, size=SIZE, fill=svg.SOFT),
        svg.text(max(right, LEFT + 170), below, days[-1].day, size=SIZE, anchor="end", fill=svg.SOFT),
    ]
    bars = _doubt_bars(days[0].day, len(days), per, cell, TOP + 24 * row, doubts, zone)
    parts = [frame, *parts, bars, *names, *ends]
    return svg.drawing(WIDE, height, parts, title=catalog.key("plot.day_hours"), kind="plot")


def _doubt_bars(
    first: str, count: int, per: int, cell: float, bottom: float, doubts: Sequence[tuple[int, int]], zone: tzinfo
) -> str:
    """Bars under the columns of the days that a doubtful stretch touches."""
    day_0, columns = date.fromisoformat(first), set()
    for first_s, last_s in doubts:
        ends = (datetime.fromtimestamp(at, zone).date() for at in (first_s, max(last_s - 1, first_s)))
        begin, end = (max(0, min((day - day_0).days, count - 1)) for day in ends)
        columns |= {day // per for day in range(begin, end + 1)}
    path = "".join(f"M{svg.short(LEFT + n * cell)} {svg.short(bottom + 3)}h{cell:.2f}v5h-{cell:.2f}z"
                   for n in sorted(columns))  # fmt: skip
    return svg.element("path", d=path, fill=svg.INK) if path else ""


def _squares(group: Sequence[DayHours], number: int, cell: float, row: float, most: float) -> str:
    path = ""
    for hour in range(24):
        found = [day.largest[hour] for day in group]
        values = [value for value in found if value is not None]
        x, y = LEFT + number * cell, TOP + hour * row
        if not values:  # no reading: a stroke across
            path += f"M{svg.short(x)} {svg.short(y + row / 2)}h{svg.short(cell)}v.4h-{svg.short(cell)}z"
            continue
        share = max(max(values), 0.0) / most if most > 0 else 0.0
        wide, high = cell * share, row * share
        path += f"M{x + (cell - wide) / 2:.2f} {y + (row - high) / 2:.2f}h{wide:.2f}v{high:.2f}h-{wide:.2f}z"
    return svg.element("path", d=path, fill=svg.INK)


def week_plot(points: Sequence[PlotPoint], unit: str, zone: tzinfo, catalog: Catalog) -> str:
    """The week of the peak: from the smallest to the largest reading of each quarter hour, its mean as a line.

    Doubtful quarter hours stand out by a bar under the axis; time without readings stays empty.
    """
    first, last = points[0].start_s, points[-1].start_s + 900
    top, step = _round_top(max(point.high for point in points))
    width = WIDE - LEFT - RIGHT

    def x(seconds: int) -> float:
        return LEFT + (seconds - first) / (last - first) * width

    line, doubts, before = "", "", None
    for each in points:
        joined = before is not None and each.start_s - before <= 3600
        line += f"{'L' if joined else 'M'}{x(each.start_s):.1f} {_y(each.mean, top):.1f}"
        before = each.start_s
        if DOUBTS & set(each.marks):
            wide = max(width * 900 / (last - first), 0.8)
            doubts += f"M{x(each.start_s):.1f} {HIGH - BOTTOM + 3:.1f}h{wide:.1f}v5h-{wide:.1f}z"
    span = "".join(f"M{x(p.start_s):.1f} {_y(p.low, top):.1f}V{_y(p.high, top):.1f}" for p in points if p.high > p.low)
    parts = [*_axes(top, step, unit), svg.element("path", d=span, fill="none", stroke=svg.SOFT, stroke_width=0.6)]
    parts.append(svg.element("path", d=line, fill="none", stroke=svg.INK, stroke_width=1.1))
    parts.append(svg.element("path", d=doubts, fill=svg.INK))
    parts += list(_days(first, last, zone, x))
    peak = max(points, key=lambda each: each.mean)
    parts += list(_peak_mark(x(peak.start_s + 450), _y(peak.mean, top), peak.mean, unit, catalog))
    return svg.drawing(WIDE, HIGH, parts, title=catalog.key("plot.week"), kind="plot")


def _days(first: int, last: int, zone: tzinfo, x: Callable[[int], float]) -> Iterator[str]:
    at = first
    while at < last - DAY_S / 2:
        yield svg.text(x(at), HIGH - 10, datetime.fromtimestamp(at, zone).strftime("%m-%d"), size=SIZE, fill=svg.SOFT,
                       face=svg.MONO)  # fmt: skip
        at += DAY_S
