"""The re-inspection sheet: every item of the notice beside what was done about it, for the inspector to tick."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.documents.commissioning_sheets.common import DASH, Photos, photos, signed_cell, verdict, worst
from deadfront.msg import said
from deadfront.results.commissioning import CommissioningResult, CorrectionAnswer
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Answer, Block, Cell, Paragraph, Sheet, SheetHead, Signature, Table

COLUMNS = ("given", "section", "asks", "thing", "verdict", "signed", "inspector")
TICK = "\N{BALLOT BOX}"


def corrections_sheet(result: CommissioningResult, head: SheetHead, there: Photos | None = None) -> Sheet:
    """The items, then their photos."""
    items = result.corrections
    blocks: list[Block] = [answer_of(items)]
    if items:
        rows = tuple(_row(each) for each in items)
        columns = tuple(said(f"sheet.corrections.column.{each}") for each in COLUMNS)
        blocks.append(Table(columns, rows, key="corrections"))
        blocks.append(Paragraph(said("sheet.corrections.ask")))
    named = [(each.photo, said("sheet.corrections.photo_of", asks=each.asks)) for each in items]
    blocks += list(photos(named, there))
    blocks += [Signature(said("sheet.signed_by")), Signature(said("sheet.corrections.inspector"))]
    return Sheet("corrections", said("sheet.corrections.title"), head, tuple(blocks))


def answer_of(items: Sequence[CorrectionAnswer]) -> Answer:
    """Whether every item is done and proved."""
    question = said("sheet.corrections.question")
    if not items:
        return Answer(question, said("sheet.corrections.none"), Outcome.NOT_APPLICABLE)
    outcome = worst(each.outcome for each in items)
    count = sum(each.outcome is not Outcome.MEETS for each in items)
    key = "done" if outcome is Outcome.MEETS else "open"
    return Answer(question, said(f"sheet.corrections.{key}", count=count or len(items), all=len(items)), outcome)


def _row(each: CorrectionAnswer) -> tuple[Cell, ...]:
    return (
        each.given_on.isoformat() if each.given_on else DASH, each.section or DASH, each.asks or DASH,
        each.name or DASH, verdict(each.outcome, said(f"sheet.corrections.{each.outcome.name.lower()}",
                                                      done=each.done)), signed_cell(each.who, each.on), TICK,
    )  # fmt: skip
