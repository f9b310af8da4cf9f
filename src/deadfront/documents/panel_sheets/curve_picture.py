"""The curve as a picture to choose from: moves (up) against the difference of the legs (across), both to scale.

A filled disk is proven to be the fewest; a hollow one may be beaten, down to the end of its stroke. A cross stands
where it is proven that no layout keeps the limit, a question mark where none was found in the time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal

from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.quantities import Interval, point
from deadfront.results.panel import CurvePoint
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.sheet import Figure

LEFT, RIGHT, TOP, ROW, BELOW = 52.0, 22.0, 26.0, 22.0, 44.0
SIZE, RADIUS, MOST_ROWS, LEAST_GAP = 13.0, 7.5, 9, 26.0
Link = Callable[[CurvePoint], str]


def curve_picture(
    points: Sequence[CurvePoint], catalog: Catalog, link: Link | None = None, chosen: int | None = None
) -> str:
    """For a desk or paper, and after it the one for a phone.

    Args:
        points: The widest limit first.
        link: Where a point leads to; None: a picture to look at only.
        chosen: The limit of the point that is looked at [0.1 A].
    """
    return "".join(_picture(points, catalog, link, chosen, width) for width in (640.0, 360.0))


def _picture(
    points: Sequence[CurvePoint], catalog: Catalog, link: Link | None, chosen: int | None, width: float
) -> str:
    most = max([each.moves for each in points if each.moves is not None] or [0])
    step = max(1, -(-most // MOST_ROWS))
    rows = max(1, -(-most // step))
    bottom = TOP + 30 + rows * ROW
    widest = max(each.limit_tenths for each in points)

    def x(tenths: float) -> float:
        return LEFT + tenths / widest * (width - LEFT - RIGHT)

    def y(moves: float) -> float:
        return bottom - moves / step * ROW

    parts = [*_axes(rows, step, y, width, bottom, catalog), *_limits(points, x, bottom, catalog)]
    parts += _stairs(points, x, y)
    for each in points:
        drawn = "".join(_mark(each, x(each.limit_tenths), y, each.limit_tenths == chosen))
        leads = link is not None and each.layout is not None
        named = svg.attributes(href=link(each), aria_label=point_words(each, catalog), class_="point") if (
            link is not None and leads) else ""  # fmt: skip
        parts.append(f"<a{named}>{drawn}</a>" if leads else drawn)
    kind = "curve narrow" if width < 500 else "curve wide"
    return svg.drawing(width, bottom + BELOW, parts, title=catalog.key("panel.curve.title"), kind=kind,
                       role="img" if link is None else "group")  # fmt: skip


def _axes(
    rows: int, step: int, y: Callable[[float], float], width: float, bottom: float, catalog: Catalog
) -> Iterator[str]:
    """Moves up the left edge, the rule of every row."""
    yield svg.text(8.0, 15.0, catalog.key("panel.curve.moves"), size=SIZE, fill=svg.SOFT)
    yield svg.text(width - RIGHT, bottom + 36, catalog.key("panel.curve.limit"), size=SIZE, anchor="end",
                   fill=svg.SOFT)  # fmt: skip
    for row in range(rows + 1):
        at = y(row * step)
        yield svg.element("path", d=f"M{svg.short(LEFT - 4)} {svg.short(at)}H{svg.short(width - RIGHT)}", fill="none",
                          stroke=svg.SOFT, stroke_width=0.5)  # fmt: skip
        yield svg.text(LEFT - 9, at + 4.5, str(row * step), size=SIZE, anchor="end", fill=svg.SOFT, face=svg.MONO)
    yield svg.element("path", d=f"M{svg.short(LEFT)} {svg.short(TOP)}V{svg.short(bottom)}", fill="none",
                      stroke=svg.INK, stroke_width=1.2)  # fmt: skip


def _limits(
    points: Sequence[CurvePoint], x: Callable[[float], float], bottom: float, catalog: Catalog
) -> Iterator[str]:
    """The limits under the axis; of two that would touch, the narrower one is left out."""
    last = 1e9
    for each in points:
        place = x(each.limit_tenths)
        yield svg.element("path", d=f"M{svg.short(place)} {svg.short(bottom)}v5", stroke=svg.INK, stroke_width=1.2)
        words = catalog.value(Decimal(each.limit_tenths) / 10)
        if last - place >= LEAST_GAP * 0.6:
            yield svg.text(place, bottom + 19, words, size=SIZE, anchor="middle", face=svg.MONO)
            last = place


def _stairs(points: Sequence[CurvePoint], x: Callable[[float], float], y: Callable[[float], float]) -> Iterator[str]:
    """From each limit to the next narrower one as many moves do, as at the narrower one at most."""
    known = [each for each in points if each.moves is not None]
    path = ""
    for each in known:
        at = f"{svg.short(x(each.limit_tenths))} {svg.short(y(each.moves or 0))}"
        path += f"M{at}" if not path else f"V{svg.short(y(each.moves or 0))}H{svg.short(x(each.limit_tenths))}"
    if path:
        yield svg.element("path", d=path, fill="none", stroke=svg.INK, stroke_width=1.4, stroke_dasharray="2 3")


def _mark(each: CurvePoint, x: float, y: Callable[[float], float], chosen: bool) -> Iterator[str]:
    """One point: disk, ring with a stroke down to what may still be saved, cross or question mark."""
    if each.moves is None:
        middle = TOP + 2
        if each.status == "impossible":
            path = f"M{svg.short(x - 5)} {svg.short(middle - 5)}l10 10m0 -10l-10 10"
            yield svg.element("path", d=path, stroke="#b3261e", stroke_width=2.4, fill="none")
        else:
            yield svg.text(x, middle + 5, "?", size=16.0, anchor="middle", weight=700)
        return
    at = y(each.moves)
    yield svg.element("circle", cx=x, cy=at, r=14.0, fill="#fff", fill_opacity=0.0, stroke_width=2.0,
                      stroke=svg.INK if chosen else "none")  # fmt: skip
    if each.gap:
        path = f"M{svg.short(x)} {svg.short(at)}V{svg.short(y(each.least))}m-5 0h10"
        yield svg.element("path", d=path, stroke=svg.INK, stroke_width=1.4, fill="none")
    yield svg.element("circle", cx=x, cy=at, r=RADIUS, fill=svg.INK if each.status == "proven" else "#fff",
                      stroke=svg.INK, stroke_width=2.0)  # fmt: skip


def status_words(each: CurvePoint, catalog: Catalog) -> str:
    """Proven, best found with its gap, impossible or not found, in words."""
    return catalog.key(f"panel.curve.status.{each.status.replace(' ', '_')}", gap=each.gap, least=each.least)


def proof_words(each: CurvePoint, apart: Interval | None, catalog: Catalog) -> str:
    """Its proof in words, and whether it holds whatever the loads that are not on file draw.

    Args:
        apart: How far the legs differ with it, the whole range [A]; None where it has no layout.
    """
    status = status_words(each, catalog)
    if apart is None or at_most(apart, point(Decimal(each.limit_tenths) / 10)) is Outcome.MEETS:
        return status
    return catalog.key("panel.curve.counted", status=status)


def stands_words(limit_tenths: int, apart: Interval | None, catalog: Catalog) -> str:
    """That the layout for a limit is kept and stands; for certain only where the whole range keeps the limit."""
    held = point(Decimal(limit_tenths) / 10)
    limit = catalog.figure(Figure(held, "A"))
    if apart is None or at_most(apart, held) is Outcome.MEETS:
        return catalog.key("web.panel.search.stands", limit=limit)
    return catalog.key("web.panel.search.stands_counted", limit=limit, apart=catalog.figure(Figure(apart, "A")))


def point_words(each: CurvePoint, catalog: Catalog) -> str:
    """A point in words: its limit, its moves, its proof."""
    limit = catalog.figure(Figure(point(Decimal(each.limit_tenths) / 10), "A"))
    return catalog.key("panel.curve.point", limit=limit, count=each.moves or 0, status=status_words(each, catalog))
