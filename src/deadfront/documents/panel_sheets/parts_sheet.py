"""The parts list on a sheet: what to bring, what it is for, how each length was reached."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.documents.catalog import Catalog
from deadfront.documents.circuit_sheets.common import UNKNOWN, Origins
from deadfront.documents.panel_sheets.parts import SECTIONS, Part
from deadfront.msg import said
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Figure,
    Heading,
    Paragraph,
    Sheet,
    SheetHead,
    Table,
    Working,
)

COLUMNS = ("part", "quantity", "used", "note")


def parts_sheet(parts: Sequence[Part], head: SheetHead, origins: Origins | None = None) -> Sheet | None:
    """Every part of the work on paper; None where the work asks for none."""
    if not parts:
        return None
    open_ = [part for part in parts if part.quantity.high is None]
    question = said("sheet.parts.question")
    if open_:
        answer = Answer(question, said("sheet.parts.answer.cannot_tell", count=len(open_)), Outcome.CANNOT_TELL)
    else:
        bring = sum(1 for part in parts if part.section != "out")
        answer = Answer(question, said("sheet.parts.answer.told", count=bring))
    blocks: list[Block] = [answer]
    for section in SECTIONS:
        chosen = [part for part in parts if part.section == section]
        if chosen:
            blocks += [Heading(said(f"part.section.{section}")), _table(chosen)]
    if any(part.length is not None for part in parts):
        blocks.append(Paragraph(said("assumption.parts_cutting_allowance")))
    blocks.append(Paragraph(said("sheet.parts.not_all")))
    blocks.append(Caution("notice", said("sheet.parts.listing")))
    for part in parts:
        if part.length is not None:
            blocks += [Heading(said("sheet.parts.worked", part=part.what)), Working(part.length, (), origins or {})]
    return Sheet("parts", said("sheet.parts.title"), head, tuple(blocks))


def quantity_cell(part: Part) -> Cell:
    """How many, or how many feet."""
    if part.quantity.high is None and part.quantity.low == 0:
        return UNKNOWN
    return Figure(part.quantity, "ft" if part.length is not None else "")


def _table(parts: Sequence[Part]) -> Table:
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (part.what, quantity_cell(part), ", ".join(part.used), part.note or "") for part in parts
    )
    return Table(tuple(said(f"sheet.parts.column.{name}") for name in COLUMNS), rows, (1,), key="parts")


def spoken_rows(parts: Sequence[Part], catalog: Catalog) -> list[tuple[str, str, str, str, str]]:
    """Section, part, quantity, what for, note: all in words, for a terminal."""
    return [
        (
            catalog.key(f"part.section.{part.section}"), catalog.say(part.what), catalog.value(quantity_cell(part)),
            ", ".join(part.used), catalog.say(part.note) if part.note else "",
        )
        for part in parts
    ]  # fmt: skip
