"""The metering plan for the door: every channel, its circuit, leg, ratio, arrow and doubling, and what is wrong."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.documents.circuit_sheets.common import DASH, cites_of, of_kind
from deadfront.msg import Msg, said
from deadfront.results.metering import ChannelPlan, MeteringResult
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Findings,
    Heading,
    Paragraph,
    Sheet,
    SheetHead,
    Signature,
    Table,
    Verdict,
    Working,
)

COLUMNS = ("channel", "conductor", "leg", "role", "ratio", "arrow", "doubled", "stage", "stands")


def metering_sheet(result: MeteringResult, head: SheetHead) -> Sheet | None:
    """The plan; None where no channel is listed."""
    if not result.channels:
        return None
    findings = tuple(c for c in of_kind(result.checks, "metering") if c.is_finding)
    blocks: list[Block] = [_answer(result), Caution("danger", said("sheet.metering.never_open"))]
    for gear in dict.fromkeys(each.gear for each in result.channels):
        blocks.append(Heading(gear or said("sheet.metering.no_gear")))
        blocks.append(_table([each for each in result.channels if each.gear == gear]))
    blocks += [Paragraph(said("sheet.metering.arrow_key")), Caution("notice", said("sheet.metering.not_revenue"))]
    blocks += [Caution("warning", said("sheet.metering.zero")), Caution("warning", said("sheet.metering.isolate"))]
    if findings:
        blocks += [Heading(said("sheet.metering.findings")), Findings(findings)]
    blocks.append(Signature(said("sheet.signed_by")))
    worked = [c for c in result.checks if c.step is not None and c.outcome is Outcome.FAILS]
    for check in worked:
        assert check.step is not None
        blocks += [Heading(check.say), Working(check.step)]
    return Sheet("metering", said("sheet.metering.title"), head, tuple(blocks), cites_of(blocks, findings))


def _answer(result: MeteringResult) -> Answer:
    """Whether every channel is planned right: what is wrong counts before what is not known."""
    question = said("sheet.metering.question")
    bad, open_ = _things(result.checks, Outcome.FAILS), _things(result.checks, Outcome.CANNOT_TELL)
    if bad:
        return Answer(question, said("sheet.metering.answer.fails", count=bad), Outcome.FAILS)
    if open_:
        return Answer(question, said("sheet.metering.answer.cannot_tell", count=open_), Outcome.CANNOT_TELL)
    return Answer(question, said("sheet.metering.answer.meets", count=len(result.channels)), Outcome.MEETS)


def _things(checks: Sequence[Check], outcome: Outcome) -> int:
    """How many things have a check that came out so; notes count where they are wrong, not where they are open."""
    return len({c.thing for c in checks
                if c.outcome is outcome and (c.severity is not Severity.NOTE or outcome is Outcome.FAILS)})  # fmt: skip


def _table(channels: Sequence[ChannelPlan]) -> Table:
    rows: tuple[tuple[Cell, ...], ...] = tuple(cells_of(each) for each in channels)
    return Table(tuple(said(f"sheet.metering.column.{name}") for name in COLUMNS), rows, (), key="metering")


def cells_of(channel: ChannelPlan) -> tuple[Cell, ...]:
    """A channel as its row."""
    return (
        called(channel), channel.conductor, channel.leg or DASH, word("role", channel.role),
        channel.ratio or DASH, word("side", channel.arrow), word("doubled", channel.doubled), channel.tag,
        Verdict(channel.outcome),
    )  # fmt: skip


def called(channel: ChannelPlan) -> Msg:
    """What a channel is called, with its input where its name does not say that."""
    if channel.input and channel.name.key == "thing.named":
        return said("metering.named_at", name=channel.name, input=channel.input)
    return channel.name


def word(of: str, value: str) -> Cell | Msg:
    """A choice in words, a dash where it is not known."""
    return said(f"metering.{of}.{value}") if value else DASH
