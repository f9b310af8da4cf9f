"""The commissioning record: the sequence, every test with readings, limit, origin, instrument, verdict, who, when."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from deadfront.documents.catalog import Catalog
from deadfront.documents.commissioning_sheets.common import (
    DASH,
    Photos,
    instruments,
    notes,
    photos,
    readings_cell,
    signed_cell,
    tool_names,
    verdict,
)
from deadfront.documents.commissioning_sheets.voltage_plot import neutral_picture, voltage_picture
from deadfront.job.house import HouseAt
from deadfront.msg import Msg, said
from deadfront.results.commissioning import CommissioningResult, TestAnswer
from deadfront.results.proof import ChannelVerdict
from deadfront.worksheet.check import Outcome, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Heading,
    Paragraph,
    Sheet,
    SheetHead,
    Signature,
    Table,
    Working,
)

INSTALLED = ("as_found", "settings")
"""Tests on the sheet of the installation."""
COLUMNS = ("thing", "readings", "limit", "verdict", "signed")


def measured(result: CommissioningResult) -> tuple[TestAnswer, ...]:
    """The tests on this sheet."""
    return tuple(each for each in result.tests if each.test not in INSTALLED)


def commissioning_sheet(
    result: CommissioningResult, at: HouseAt, head: SheetHead, catalog: Catalog, there: Photos | None = None,
    proof: Sequence[ChannelVerdict] = (),
) -> Sheet:  # fmt: skip
    """Every test due or done; with what the load steps prove of each channel."""
    tests, tools = measured(result), tool_names(at)
    blocks: list[Block] = [answer_of(tests), Caution("notice", said("sheet.commissioning.of_that_day"))]
    blocks.append(Caution("warning", said("commission.caution.screen_is_no_test")))
    if result.sequence:
        blocks += [Heading(said("sheet.commissioning.sequence")), _sequence(result)]
    for stage in ("as left", "as found"):
        for test in dict.fromkeys(each.test for each in tests if each.stage == stage):
            own = [each for each in tests if each.test == test and each.stage == stage]
            blocks += list(_test(test, stage, own, tools))
    blocks += [each for each in (voltage_picture(tests, catalog), neutral_picture(tests, catalog)) if each is not None]
    blocks += list(_worked(tests))
    blocks += list(_proof(proof))
    blocks += list(instruments(at, (tool for each in tests for tool in each.instruments)))
    blocks += list(photos(((each.photo, _photo(each)) for each in tests), there))
    blocks.append(Signature(said("sheet.signed_by")))
    return Sheet("commissioning", said("sheet.commissioning.title"), head, tuple(blocks), _cites(tests))


def answer_of(tests: Sequence[TestAnswer]) -> Answer:
    """Whether the work is tested and well: what is wrong counts before what is open."""
    question = said("sheet.commissioning.question")
    left = [each for each in tests if each.stage == "as left"]
    bad = [each for each in tests if each.outcome is Outcome.FAILS and each.severity is not Severity.NOTE]
    count = sum(each.is_open for each in left)
    if bad:
        return Answer(question, said("sheet.commissioning.wrong", count=len(bad), say=bad[0].say), Outcome.FAILS)
    if count or not left:
        key = "open" if left else "none"
        return Answer(question, said(f"sheet.commissioning.{key}", count=count, all=len(left)), Outcome.CANNOT_TELL)
    return Answer(question, said("sheet.commissioning.done", count=len(left)), Outcome.MEETS)


def _sequence(result: CommissioningResult) -> Table:
    names = tuple(said(f"sheet.commissioning.column.{each}") for each in ("step", "state", "stop"))
    rows = tuple((said(f"commission.sequence.{each.key}"), said(f"commission.state.{each.state}"), each.stop)
                 for each in result.sequence)  # fmt: skip
    return Table(names, rows, key="sequence")


def _test(test: str, stage: str, own: Sequence[TestAnswer], tools: Mapping[str, Msg]) -> Iterator[Block]:
    name = said(f"commission.test.{test}")
    yield Heading(name if stage == "as left" else said("sheet.commissioning.as_found", test=name))
    yield Paragraph(said(f"commission.method.{test}"))
    for caution in own[0].cautions:
        yield Paragraph(said(f"commission.caution.{caution}"))
    rows = tuple(
        (each.name, readings_cell(each), each.limit or DASH, verdict(each.outcome, each.say),
         signed_cell(each.who, each.on, each.time, tuple(tools[one] for one in each.instruments if one in tools)))
        for each in own
    )  # fmt: skip
    yield Table(tuple(said(f"sheet.records.column.{each}") for each in COLUMNS), rows, key="commission")
    yield from notes(own)


def _worked(tests: Sequence[TestAnswer]) -> Iterator[Block]:
    """The neutral's impedance line by line: the one figure that is worked out of readings."""
    for each in tests:
        if each.test == "neutral_step" and each.record:
            for step in each.steps:
                if step.args:
                    yield Heading(each.say)
                    yield Working(step)
                    break


def _proof(proof: Sequence[ChannelVerdict]) -> Iterator[Block]:
    """What the walk along the current transformers proves, channel by channel."""
    if not proof:
        return
    yield Heading(said("sheet.commissioning.walk"))
    yield Caution("danger", said("sheet.metering.never_open"))
    rows = tuple(
        (verdict(each.outcome, each.say), str(each.steps), each.test if each.test is not None else DASH)
        for each in proof
    )
    columns = tuple(said(f"sheet.commissioning.column.{each}") for each in ("proved", "steps", "test"))
    yield Table(columns, rows, (1,), key="walk")


def _photo(test: TestAnswer) -> Msg:
    return said("sheet.records.photo_of", test=said(f"commission.test.{test.test}"), name=test.name)


def _cites(tests: Sequence[TestAnswer]) -> tuple[Cite, ...]:
    return tuple(dict.fromkeys(cite for each in tests for cite in each.cites))
