"""The site list on paper: what to look at, place by place, with room to tick and to write."""

from __future__ import annotations

from deadfront.documents.circuit_sheets.common import place_name
from deadfront.job.house import HouseAt
from deadfront.msg import said
from deadfront.results.circuits import CircuitsResult, Question
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Answer, Block, Caution, Cell, Heading, Sheet, SheetHead, Table, Verdict

COLUMNS = ("question", "answer", "yes_no")


def site_sheet(at: HouseAt, result: CircuitsResult, head: SheetHead) -> Sheet | None:
    """The list to take to the house; None where nothing is asked."""
    if not result.questions:
        return None
    open_ = [q for q in result.questions if q.outcome is Outcome.CANNOT_TELL]
    bad = [q for q in result.questions if q.outcome is Outcome.FAILS]
    key = "fails" if bad else "open" if open_ else "done"
    outcome = Outcome.FAILS if bad else Outcome.CANNOT_TELL if open_ else Outcome.MEETS
    count = len(bad or open_ or result.questions)
    blocks: list[Block] = [
        Answer(said("sheet.site.question"), said(f"sheet.site.answer.{key}", count=count), outcome),
        Caution("danger", said("sheet.todo.live")),
        Caution("warning", said("sheet.todo.no_test")),
    ]
    for of in dict.fromkeys(q.of for q in result.questions):
        asked = [q for q in result.questions if q.of == of]
        blocks += [Heading(place_name(at, of)), _table(asked)]
    cites = tuple(dict.fromkeys(cite for q in result.questions for cite in q.cites))
    return Sheet("site", said("sheet.site.title"), head, tuple(blocks), cites)


def _table(asked: list[Question]) -> Table:
    rows = tuple((q.say, _answered(q), "" if q.answer != "unknown" else said("sheet.site.boxes")) for q in asked)
    margins = tuple(q.cites[0].section if q.cites else "" for q in asked)
    names = tuple(said(f"sheet.site.column.{name}") for name in COLUMNS)
    return Table(names, rows, margins=margins, key="site")


def _answered(question: Question) -> Cell:
    if question.answer == "unknown":
        return said("sheet.site.not_looked")
    return Verdict(question.outcome, said(f"sheet.site.{question.answer}"))
