"""A Sheet on a terminal: the same blocks as on paper, with shapes and words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from deadfront.cli import text
from deadfront.documents.catalog import Catalog
from deadfront.documents.findings import finding_texts
from deadfront.documents.html import column_name, shared_unit
from deadfront.documents.rows import figure_text, main_unit, worksheet_rows
from deadfront.msg import Msg
from deadfront.worksheet.sheet import (
    Answer,
    Caution,
    Cell,
    Figure,
    Findings,
    Heading,
    PageBreak,
    Paragraph,
    Photo,
    Picture,
    Sheet,
    Signature,
    Table,
    Verdict,
    Working,
)


def sheet_text(sheet: Sheet, catalog: Catalog) -> None:
    """A whole sheet; pictures and lines to sign are for paper and are left out."""
    text.heading(catalog.say(sheet.title))
    for block in sheet.blocks:
        _BLOCKS[type(block)](block, catalog)


def _answer(block: Answer, catalog: Catalog) -> None:
    shape = f"{text.SHAPES[block.outcome]} " if block.outcome else ""
    text.say(f"{catalog.say(block.question)} {shape}{catalog.say(block.answer)}", "  ")
    for more in block.more:
        text.say(catalog.say(more), "  ")


def _cell(cell: Cell, catalog: Catalog, with_unit: bool) -> str:
    if isinstance(cell, Figure):
        return catalog.figure(cell, with_unit=with_unit)
    if isinstance(cell, Verdict):
        return f"{text.SHAPES[cell.outcome]} {catalog.verdict(cell)}"
    return catalog.say(cell) if isinstance(cell, Msg) else cell


def _table(block: Table, catalog: Catalog) -> None:
    columns = range(len(block.columns))
    rows = [[column_name(block, i, catalog) for i in columns]]
    for row in block.rows:
        rows.append([_cell(cell, catalog, not shared_unit(block, i)) for i, cell in enumerate(row)])
    text.table(rows, right=block.numeric, fit=block.key.startswith("isolation"))


def _working(block: Working, catalog: Catalog) -> None:
    lines = worksheet_rows(block.step, catalog, block.above, block.origins)
    unit = main_unit(lines)
    rows = [[catalog.key("work.line"), unit, catalog.key("work.formula")]]
    for row in lines:
        marks = "; ".join(catalog.say(mark) for mark in row.marks)
        formula = " ".join(part for part in (row.formula, f"[{row.section}]" if row.section else "", marks) if part)
        rows.append([catalog.say(row.name), figure_text(row, unit), formula])
    text.table(rows, right=(1,))


def _findings(block: Findings, catalog: Catalog) -> None:
    if not block.checks:
        text.say(catalog.key("finding.none"), "  ")
    for found in finding_texts(block.checks, catalog):
        section = f" [{found.section}]" if found.section else ""
        text.say(f"{text.SHAPES[found.outcome]} {found.lead}: {found.say}{section}", "  ", "    ")
        for more in found.more:
            text.say(more, "    ", "      ")


def _nothing(block: object, catalog: Catalog) -> None:
    """For paper only."""


_BLOCKS: dict[type, Callable[[Any, Catalog], None]] = {
    Answer: _answer,
    Caution: lambda b, c: text.say(f"{c.key(f'signal.{b.level}')}: {c.say(b.say)}", "  "),
    Findings: _findings,
    Heading: lambda b, c: text.heading(c.say(b.say)),
    Paragraph: lambda b, c: text.say(c.say(b.say), "  "),
    PageBreak: _nothing,
    Photo: lambda b, c: text.say(c.say(b.say), "  "),
    Picture: _nothing,
    Signature: _nothing,
    Table: _table,
    Working: _working,
}
