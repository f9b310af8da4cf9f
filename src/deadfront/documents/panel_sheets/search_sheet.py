"""The search for even legs on paper: the curve of every panel searched, with proof or gap, and what clashes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.curve_picture import curve_picture, proof_words, stands_words
from deadfront.documents.panel_sheets.panel_sheet import picture_of
from deadfront.msg import Msg, said
from deadfront.quantities import Interval, point
from deadfront.results.panel import CurvePoint
from deadfront.worksheet.sheet import Answer, Block, Caution, Cell, Figure, Heading, Paragraph, Sheet, SheetHead, Table

COLUMNS = ("limit", "moves", "apart", "stands")


@dataclass(frozen=True, slots=True)
class Curve:
    """What was found for one panel.

    Args:
        panel: What it is called.
        points: The fewest moves for every limit.
        aparts: How far the legs differ with the layout of each, the whole range [A]; None for one without a layout.
        clash: The rules that clash at the widest limit that no layout keeps.
        stands: The limit whose layout is kept and stands [0.1 A]; None for none.
        stopped: The search was stopped before its end.
    """

    panel: Msg
    points: tuple[CurvePoint, ...]
    aparts: tuple[Interval | None, ...]
    clash: tuple[Msg, ...]
    stands: int | None
    stopped: bool


def search_sheet(curves: Sequence[Curve], head: SheetHead, catalog: Catalog) -> Sheet | None:
    """The curves of all panels that were searched; None where none was."""
    if not curves:
        return None
    blocks: list[Block] = [
        Answer(said("sheet.panel_search.question"), said("sheet.panel_search.answer", count=len(curves)))
    ]
    for each in curves:
        blocks += _of_panel(each, catalog)
    blocks.append(Caution("notice", said("sheet.load.review")))
    return Sheet("panel_search", said("sheet.panel_search.title"), head, tuple(blocks))


def _of_panel(each: Curve, catalog: Catalog) -> Iterator[Block]:
    yield Heading(each.panel)
    if each.stands is not None:
        aparts = zip(each.points, each.aparts, strict=True)
        apart = next((apart for line, apart in aparts if line.limit_tenths == each.stands), None)
        yield Paragraph(said("thing.named", name=stands_words(each.stands, apart, catalog)))
    yield picture_of(curve_picture(each.points, catalog, None, each.stands), said("sheet.panel_search.caption"))
    rows = tuple(_row(line, apart, catalog) for line, apart in zip(each.points, each.aparts, strict=True))
    yield Table(tuple(said(f"cli.panel.column.{name}") for name in COLUMNS), rows, (1, 2), key="curve")
    if each.stopped:
        yield Paragraph(said("sheet.panel_search.stopped"))
    if each.clash:
        yield Paragraph(said("cli.panel.clash"))
        for rule in each.clash:
            yield Paragraph(rule)


def _row(line: CurvePoint, range_a: Interval | None, catalog: Catalog) -> tuple[Cell, ...]:
    apart: Cell = "–" if range_a is None else Figure(range_a, "A")
    return (catalog.figure(Figure(point(Decimal(line.limit_tenths) / 10), "A")),
            "–" if line.moves is None else str(line.moves), apart, proof_words(line, range_a, catalog))  # fmt: skip
