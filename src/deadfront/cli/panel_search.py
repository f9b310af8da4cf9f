"""The search for a better layout on the terminal: the curve as it comes, the moves in order, the rules that clash."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from types import FrameType
from typing import TYPE_CHECKING

from deadfront.cli import text
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.curve_picture import proof_words
from deadfront.documents.panel_sheets.moves import Act, step_words, with_ties
from deadfront.msg import Msg
from deadfront.quantities import Interval, point
from deadfront.results.panel import CurvePoint, PanelResult
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.sheet import Figure

if TYPE_CHECKING:
    from deadfront.app.answers import Answered
    from deadfront.app.panels import Grouped


def searched(answered: Answered, result: PanelResult, catalog: Catalog, limit_a: float | None, seconds: float) -> None:
    """Curve, then the moves for the limit asked for."""
    from deadfront.app import panels
    from deadfront.app.panel_layouts import apart_of

    case = result.case
    assert case is not None
    asked = _asked(result, limit_a)
    limits = sorted({*panels.LIMITS, asked}, reverse=True)
    bars = panels.bars_search(case)
    if bars is not None:
        text.say(f"{text.SHAPES[Outcome.CANNOT_TELL]} {catalog.say(bars)}", "  ", "    ")
        return
    found: list[CurvePoint] = []
    with _stops() as stop:
        for limit in panels.points(case, limits, seconds, stop):
            found.append(limit)
            text.progress(catalog.key("cli.panel.searching", panel=case.name, limit=amperes(limit.limit_tenths),
                                      moves=_moves(limit)))  # fmt: skip
        if stop():
            text.say(catalog.key("cli.panel.stopped"))
        aparts = [apart_of(answered, result.id, each) for each in found]
        _curve(found, aparts, catalog)
        chosen = next((each for each in found if each.limit_tenths == asked), None)
        if chosen is None:
            return
        if chosen.layout is None:
            _clash(panels.clash(case, asked, seconds, stop) if chosen.status == "impossible" else (), catalog)
            return
        if limit_a is None and result.leave:
            text.say(catalog.key("cli.panel.leave"))
        _order(
            chosen, aparts[found.index(chosen)], with_ties(case, panels.moves_in_order(case, chosen.layout)), catalog
        )
        _groups(catalog, panels.grouped(case, chosen, seconds, stop))


def _asked(result: PanelResult, limit_a: float | None) -> int:
    """The limit asked for, else 10 percent of the main, else 10 A [0.1 A]."""
    if limit_a is not None:
        return max(1, round(limit_a * 10))
    return 100 if result.limit is None else int(result.limit.value.low * 10)


@contextmanager
def _stops() -> Iterator[_Stop]:
    """While it lasts, Ctrl-C asks the search to stop instead of ending the program; a second one ends it."""
    stop = _Stop()
    if threading.current_thread() is not threading.main_thread():
        yield stop
        return
    before = signal.signal(signal.SIGINT, stop.ask)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)


class _Stop:
    """Whether Ctrl-C was pressed."""

    def __init__(self) -> None:
        self._asked = False

    def __call__(self) -> bool:
        return self._asked

    def ask(self, number: int, frame: FrameType | None) -> None:
        """Note the first; give in to the second."""
        if self._asked:
            raise KeyboardInterrupt
        self._asked = True


def amperes(tenths: int) -> Interval:
    """Tenths of an ampere as a figure."""
    return point(Decimal(tenths) / 10)


def _moves(each: CurvePoint) -> str:
    return "–" if each.moves is None else str(each.moves)


def _curve(found: list[CurvePoint], aparts: list[Interval | None], catalog: Catalog) -> None:
    """The fewest moves for each limit, with proof or gap."""
    text.heading(catalog.key("cli.panel.curve"))
    heads = ("limit", "moves", "apart", "stands")
    rows = [[catalog.key(f"cli.panel.column.{each}") for each in heads]]
    for each, range_a in zip(found, aparts, strict=True):
        apart = "–" if range_a is None else catalog.figure(Figure(range_a, "A", 1))
        limit = catalog.figure(Figure(amperes(each.limit_tenths), "A", 1))
        rows.append([limit, _moves(each), apart, proof_words(each, range_a, catalog)])
    text.table(rows, right=(0, 1, 2))


def _clash(rules: tuple[Msg, ...], catalog: Catalog) -> None:
    if rules:
        text.heading(catalog.key("cli.panel.clash"))
    for rule in rules:
        text.say(f"{text.SHAPES[Outcome.FAILS]} {catalog.say(rule)}", "  ", "    ")


def _order(chosen: CurvePoint, range_a: Interval | None, steps: tuple[Act, ...], catalog: Catalog) -> None:
    """The moves, numbered, in the order of the work."""
    limit, apart = amperes(chosen.limit_tenths), range_a or amperes(chosen.apart_tenths or 0)
    if not steps:
        text.say(catalog.key("cli.panel.no_moves", limit=limit))
        if at_most(apart, limit) is not Outcome.MEETS:
            text.say(catalog.key("cli.panel.not_certain"), "  ", "  ")
        return
    text.heading(catalog.key("cli.panel.order", limit=limit, moves=chosen.moves or 0, apart=apart))
    if at_most(apart, limit) is not Outcome.MEETS:
        text.say(catalog.key("cli.panel.not_certain"), "  ", "  ")
    text.say(catalog.key("cli.panel.dead"), "  ", "  ")
    for number, step in enumerate(steps, 1):
        text.say(f"{number:>2}. {step_words(step, catalog)}", "  ", "      ")


def _groups(catalog: Catalog, found: Iterator[Grouped]) -> None:
    """What standing near each other costs."""
    for each in found:
        key = "cli.panel.extra" if each.extra else "cli.panel.grouped"
        text.say(catalog.key(key, extra=each.extra, count=each.rows), "  ")
