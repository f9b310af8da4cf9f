"""The sheet of the one-line: the drawing on a page of its own, what is not known, what the work takes out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from deadfront.documents.catalog import Catalog
from deadfront.documents.one_line.as_svg import one_line_svg
from deadfront.documents.one_line.layout import Nudges
from deadfront.documents.one_line.made import one_line
from deadfront.documents.one_line.page import INCH, Drawing
from deadfront.documents.one_line.told import ask_name
from deadfront.job.house import HouseAt
from deadfront.job.model import Nudge
from deadfront.msg import said
from deadfront.results.circuits import CircuitsResult
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Answer, Block, Caution, Cell, Paragraph, Picture, Sheet, SheetHead, Table

KEY = "one-line"


def nudges_of(drawing: Mapping[str, Nudge]) -> Nudges:
    """What was moved by hand, as the layout takes it."""
    return {name: (float(each.right_pt), float(each.down_pt)) for name, each in drawing.items()}


def one_line_sheet(
    at: HouseAt, result: CircuitsResult, head: SheetHead, catalog: Catalog, nudges: Nudges | None = None
) -> Sheet:
    """The one-line diagram as a sheet of the packet."""
    drawing = one_line(at, result, catalog, head, nudges)
    return Sheet(KEY, said("sheet.one_line.title"), head, tuple(_blocks(drawing, at)), ())


def head_blocks(drawing: Drawing, at: HouseAt) -> list[Block]:
    """The question with its answer, and what is to be found out."""
    asks, question = drawing.asks, said("sheet.one_line.question")
    if not asks:
        return [Answer(question, said("sheet.one_line.answer.known"))]
    unknown = said("sheet.one_line.answer.unknown", count=len(asks))
    to_find = Paragraph(said("sheet.one_line.to_find"))
    return [Answer(question, unknown, Outcome.CANNOT_TELL), to_find, _to_find(drawing, at)]


def caution() -> Caution:
    """A drawing shows nothing dead."""
    return Caution("danger", said("sheet.one_line.live"))


def _blocks(drawing: Drawing, at: HouseAt) -> Iterator[Block]:
    answer, *rest = head_blocks(drawing, at)
    yield answer
    yield caution()
    yield from rest
    size = (Decimal(str(drawing.width / INCH)), Decimal(str(drawing.height / INCH)))
    say = said("sheet.one_line.caption", wide=size[0].normalize(), high=size[1].normalize())
    yield Picture(one_line_svg(drawing), say, size[0] * Decimal("25.4"), size)


def _to_find(drawing: Drawing, at: HouseAt) -> Table:
    columns = (said("sheet.one_line.column.thing"), said("sheet.one_line.column.fact"))
    rows: list[tuple[Cell, ...]] = [
        (ask_name(at, thing), said(f"one_line.fact.{fact}")) for thing, fact in drawing.asks
    ]
    return Table(columns, tuple(rows), key="one_line")
