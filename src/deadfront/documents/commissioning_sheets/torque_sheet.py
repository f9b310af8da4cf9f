"""The torque log: every terminal with its target and where that comes from, the tool, the setting that clicked."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.documents.commissioning_sheets.common import (
    DASH,
    Photos,
    instruments,
    photos,
    signed_cell,
    tool_names,
    verdict,
)
from deadfront.job.house import HouseAt
from deadfront.msg import Msg, said
from deadfront.results.commissioning import CommissioningResult, TorqueAnswer
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Cell,
    Figure,
    Paragraph,
    Sheet,
    SheetHead,
    Signature,
    Table,
)
from deadfront.worksheet.step import Step

COLUMNS = ("thing", "terminal", "target", "by", "applied", "verdict", "signed")


def torque_sheet(result: CommissioningResult, at: HouseAt, head: SheetHead, there: Photos | None = None) -> Sheet:
    """The log, with room for what is still to be tightened."""
    blocks: list[Block] = [answer_of(result.torques), Paragraph(said("commission.method.torque"))]
    tools = tool_names(at)
    if result.torques:
        rows = tuple(_row(each, tools) for each in result.torques)
        blocks.append(Table(tuple(said(f"sheet.torque.column.{each}") for each in COLUMNS), rows, (2, 4), key="torque"))
    blocks += [Paragraph(said("sheet.records.note", name=_place(each), say=note)) for each in result.torques
               for note in each.notes if each.id]  # fmt: skip
    blocks += list(instruments(at, (each.tool for each in result.torques)))
    blocks += list(photos(((each.photo, _place(each)) for each in result.torques), there))
    blocks.append(Signature(said("sheet.signed_by")))
    cites = tuple(dict.fromkeys(cite for each in result.torques for cite in each.cites))
    return Sheet("torque", said("sheet.torque.title"), head, tuple(blocks), cites)


def answer_of(torques: Sequence[TorqueAnswer]) -> Answer:
    """Whether every terminal is tightened to its target."""
    question = said("sheet.torque.question")
    bad = sum(each.outcome is Outcome.FAILS for each in torques)
    open_ = sum(each.outcome is Outcome.CANNOT_TELL for each in torques)
    if bad:
        return Answer(question, said("sheet.torque.wrong", count=bad), Outcome.FAILS)
    if open_ or not torques:
        key = "open" if torques else "none"
        return Answer(question, said(f"sheet.torque.{key}", count=open_), Outcome.CANNOT_TELL)
    return Answer(question, said("sheet.torque.done", count=len(torques)), Outcome.MEETS)


def _place(each: TorqueAnswer) -> Msg:
    return said("sheet.torque.place", name=each.name, terminal=each.terminal) if each.terminal else each.name


def _row(each: TorqueAnswer, tools: dict[str, Msg] | object) -> tuple[Cell, ...]:
    named = tools.get(each.tool) if isinstance(tools, dict) else None
    return (
        each.name, each.terminal or DASH, _figure(each.target), each.target.name if each.target else DASH,
        _figure(each.applied), verdict(each.outcome, each.say), signed_cell(each.who, each.on, "",
                                                                            (named,) if named else ()),
    )  # fmt: skip


def _figure(step: Step | None) -> Cell:
    return DASH if step is None else Figure(step.value, step.unit)
