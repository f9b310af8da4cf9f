"""The metering plan for the door: every channel, its circuit, leg, ratio, arrow and doubling, and what is wrong."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from deadfront.documents.circuit_sheets.common import DASH, cites_of, of_kind
from deadfront.msg import Msg, said
from deadfront.results.metering import ChannelPlan, MeteringResult, counts
from deadfront.worksheet.check import Check, Outcome
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

PLACE = ("channel", "conductor", "spaces", "leg", "window", "role", "stage", "stands")
SETTING = ("channel", "rating", "output", "ratio", "arrow", "voltage_leg", "doubled")
"""Columns of both tables: where a channel sits; what it is and how it is set."""


def metering_sheet(result: MeteringResult, head: SheetHead) -> Sheet | None:
    """The plan; None where no channel is listed."""
    if not result.channels:
        return None
    findings = tuple(c for c in of_kind(result.checks, "metering") if c.is_finding)
    blocks: list[Block] = [_answer(result), Caution("danger", said("sheet.metering.never_open"))]
    for gear in dict.fromkeys(each.gear for each in result.channels):
        blocks.append(Heading(gear or said("sheet.metering.no_gear")))
        own = [each for each in result.channels if each.gear == gear]
        blocks += [_table("metering", PLACE, map(place_of, own)), _table("metering_set", SETTING, map(setting_of, own))]
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
    """How many things have a check that came out so; of existing channels too, whose checks are notes."""
    return len({c.thing for c in checks if c.outcome is outcome and counts(c)})


def _table(key: str, columns: Sequence[str], rows: Iterable[tuple[Cell, ...]]) -> Table:
    return Table(tuple(said(f"sheet.metering.column.{name}") for name in columns), tuple(rows), (), key=key)


def place_of(channel: ChannelPlan) -> tuple[Cell, ...]:
    """Where a channel sits, as its row."""
    spaces = ", ".join(str(each) for each in channel.spaces)
    return (
        called(channel), channel.conductor, spaces or DASH, channel.leg or DASH,
        word("window", channel.window.replace(", ", "__").replace(" ", "_")), word("role", channel.role), channel.tag,
        Verdict(channel.outcome),
    )  # fmt: skip


def setting_of(channel: ChannelPlan) -> tuple[Cell, ...]:
    """What a channel is and how it is set, as its row."""
    rating = said("metering.amperes", amperes=channel.rating) if channel.rating else DASH
    return (
        called(channel), rating, word("output", channel.output), channel.ratio or DASH, word("side", channel.arrow),
        channel.voltage_leg or DASH, word("doubled", channel.doubled),
    )  # fmt: skip


def called(channel: ChannelPlan) -> Msg:
    """What a channel is called, with its input where its name does not say that."""
    if channel.input and channel.name.key == "thing.named":
        return said("metering.named_at", name=channel.name, input=channel.input)
    return channel.name


def word(of: str, value: str) -> Cell | Msg:
    """A choice in words, a dash where it is not known."""
    return said(f"metering.{of}.{value}") if value else DASH
