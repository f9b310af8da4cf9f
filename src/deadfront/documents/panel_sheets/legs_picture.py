"""The legs at every time as bars to one scale: where the shorter one and 10 percent of the main end is a dashed line.

What is not fully known is drawn as it is counted, with a dashed edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.elevation import hatching
from deadfront.documents.panel_sheets.fitting import fitted
from deadfront.documents.panel_sheets.measures import Box
from deadfront.panel.rules.judge import leg_tenths
from deadfront.quantities import point
from deadfront.results.panel import PanelResult
from deadfront.worksheet.sheet import Figure

LEFT, BAR, GAP, HEAD, SIZE, ROOM = 30.0, 16.0, 5.0, 21.0, 13.0, 84.0
COLUMN = 330.0


def legs_picture(result: PanelResult, catalog: Catalog) -> str:
    """For a desk or paper, and after it the one for a phone; "" where the panel is not laid out."""
    if result.case is None:
        return ""
    return "".join(_picture(result, catalog, width) for width in (640.0, 360.0))


def _picture(result: PanelResult, catalog: Catalog, width: float) -> str:
    case = result.case
    assert case is not None
    each = [leg_tenths(case, case.found(), index) for index in range(len(case.scenarios))]
    limit = None if result.limit is None else int(result.limit.value.low * 10)
    most = max([10, *(max(legs) for legs in each), *((min(legs) + (limit or 0)) for legs in each)])
    scale = (width - LEFT - ROOM) / most
    parts, spoken, y = list[str](), list[str](), 0.0
    for index, legs in enumerate(each):
        exact = result.balances[index].apart.value.exact
        head = _head(result, index, legs, catalog)
        spoken.append(head)
        parts.append(svg.text(0.0, y + 14, head, size=SIZE, weight=700))
        top = y + HEAD
        bottom = top + len(legs) * (BAR + GAP)
        at = None if limit is None else LEFT + (min(legs) + limit) * scale
        for leg, tenths in enumerate(legs):
            parts += _bar(leg, tenths * scale, top + leg * (BAR + GAP), figure(tenths, catalog), exact, at)
        if at is not None:
            path = f"M{svg.short(at)} {svg.short(top - 3)}V{svg.short(bottom)}"
            parts.append(svg.element("path", d=path, fill="none", stroke=svg.INK, stroke_width=1.6,
                                     stroke_dasharray="5 3"))  # fmt: skip
        y = bottom + 8
    notes = [catalog.key("panel.legs.alone")] if case.leg_count == 2 else []
    if limit is not None:
        notes.append(catalog.key("panel.legs.limit", limit=figure(limit, catalog)))
    for words in notes:
        fits = fitted(words, width, SIZE, 2, 40.0)
        for line in fits.lines:
            parts.append(svg.text(0.0, y + 12, line, size=fits.size, fill=svg.SOFT))
            y += 17
    kind = "legs narrow" if width < 500 else "legs wide"
    return svg.drawing(width, y, parts, title="; ".join(spoken), kind=kind)


def leg_columns(legs: int) -> tuple[str, ...]:
    """Words over the columns of the legs: of two, only what runs from one of them to neutral is in them."""
    return tuple(f"cli.panel.column.l{n + 1}{'_120' if legs == 2 else ''}" for n in range(legs))


def leg_heads(result: PanelResult, catalog: Catalog) -> tuple[str, ...]:
    """How far the legs are apart at every time, in words; as counted where a load is not known."""
    case = result.case
    if case is None:
        return ()
    return tuple(_head(result, n, leg_tenths(case, case.found(), n), catalog) for n in range(len(case.scenarios)))


def _head(result: PanelResult, index: int, legs: Sequence[int], catalog: Catalog) -> str:
    each = result.balances[index]
    key = "panel.legs.head" if each.apart.value.exact else "panel.legs.head_counted"
    return catalog.key(key, scenario=each.scenario, apart=figure(max(legs) - min(legs), catalog))


def figure(tenths: int, catalog: Catalog) -> str:
    """Tenths of an ampere with their unit."""
    return catalog.figure(Figure(point(Decimal(tenths) / 10), "A"))


def _bar(leg: int, length: float, y: float, words: str, exact: bool, line: float | None) -> Iterator[str]:
    """One leg: its name, its bar hatched as on the elevation, its current clear of the dashed line."""
    yield svg.text(LEFT - 6, y + BAR - 3, f"L{leg + 1}", size=SIZE, anchor="end", fill=svg.SOFT)
    box = Box(LEFT, y, max(length, 1.0), BAR)
    yield svg.element("rect", x=box.x, y=box.y, width=box.width, height=box.height, fill="#fff", stroke=svg.INK,
                      stroke_width=1.2, stroke_dasharray=None if exact else "4 3")  # fmt: skip
    if leg:
        yield hatching(box, both=leg == 2)
    place = LEFT + box.width + 6
    if line is not None and place - 4 < line < place + svg.text_width(words, SIZE) + 4:
        place = line + 6
    yield svg.text(place, y + BAR - 3, words, size=SIZE)
