"""The survey's to-do list as a Sheet: what is still to find out, in the order that helps most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from deadfront.msg import said
from deadfront.quantities import point
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.sheet import Answer, Block, Caution, Cell, Figure, Heading, Sheet, SheetHead, Table


@dataclass(frozen=True, slots=True)
class ToFind:
    """A fact to find out, and how many answers hang on it."""

    missing: Missing
    answers: int


def todo_sheet(to_find: Sequence[ToFind], head: SheetHead) -> Sheet:
    """The list to take to the house, most answers first, with room to write what was found."""
    listed = sorted(to_find, key=lambda item: (-item.answers, item.missing.path))
    blocks: list[Block] = [_answer(listed)]
    if listed:
        blocks += [Heading(said("sheet.todo.heading")), _table(listed)]
        blocks.append(Caution("danger", said("sheet.todo.live")))
        blocks.append(Caution("warning", said("sheet.todo.no_test")))
    return Sheet("todo", said("sheet.todo.title"), head, tuple(blocks))


def _answer(listed: list[ToFind]) -> Answer:
    question = said("sheet.todo.question")
    if not listed:
        return Answer(question, said("sheet.todo.nothing"), Outcome.MEETS)
    return Answer(question, said("sheet.todo.answer", count=len(listed)), Outcome.CANNOT_TELL)


def _table(listed: list[ToFind]) -> Table:
    names = tuple(said(f"sheet.todo.column.{name}") for name in ("what", "how", "answers", "found"))
    rows: list[tuple[Cell, ...]] = [
        (item.missing.what, item.missing.how, Figure(point(item.answers), ""), "") for item in listed
    ]
    return Table(names, tuple(rows), (2,), key="todo")
