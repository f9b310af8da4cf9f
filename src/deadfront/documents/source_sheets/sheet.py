"""The sources on paper: does every source join as the code asks, in every state?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from deadfront.documents.circuit_sheets.common import BAD, SAID, Origins, sheet_of
from deadfront.documents.management_table import management_blocks
from deadfront.documents.source_sheets.tables import (
    bus_table,
    capacity_table,
    neutral_table,
    paths_table,
    signal_tables,
    strings_table,
)
from deadfront.job.house import HouseAt
from deadfront.msg import Msg, said
from deadfront.results.loads import ManagementFacts
from deadfront.results.sources import SourcesResult
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Findings,
    Heading,
    Paragraph,
    Sheet,
    SheetHead,
    Signature,
    Working,
)
from deadfront.worksheet.step import Step

KEY = "sources"
BURNS = ("generator", "inlet")


def anything(at: HouseAt) -> bool:
    """Whether a house has anything of this stage."""
    return bool(at.house.sources or at.house.transfers or at.house.signals)


def source_sheet(
    at: HouseAt, result: SourcesResult, head: SheetHead, origins: Origins | None = None,
    systems: Sequence[ManagementFacts] = (),
) -> Sheet | None:  # fmt: skip
    """The sources of a house on paper; None where there is none.

    Args:
        systems: Energy management systems with the facts that let their limits count.
    """
    if not anything(at):
        return None
    findings = ordered(c for c in result.checks if c.is_finding)
    blocks: list[Block] = [source_answer(result)]
    blocks += cautions(at)
    blocks += sections(at, result, systems)
    blocks += [Heading(said("sheet.findings")), Findings(findings)]
    blocks += [Caution("notice", said("sheet.load.review")), Signature(said("sheet.signed_by"))]
    blocks += workings(result, origins or {})
    return sheet_of(KEY, head, blocks, findings)


def ordered(checks: Iterable[Check]) -> tuple[Check, ...]:
    """What endangers first, then what does not meet."""
    return tuple(sorted(checks, key=lambda c: (BAD.index(c.severity), SAID.index(c.outcome))))


def source_answer(result: SourcesResult) -> Answer:
    """The question and its answer: the worst of all checks that are no notes; without any, what is known of sources."""
    question = said("sheet.sources.question")
    told = [c.outcome for c in result.checks if c.severity is not Severity.NOTE]
    outcome = next((o for o in (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS) if o in told), None)
    if outcome is None:
        return Answer(question, result.say, Outcome.CANNOT_TELL if result.missing else Outcome.NOT_APPLICABLE)
    key = outcome.name.lower()
    if outcome is Outcome.MEETS and result.missing:
        outcome, key = Outcome.CANNOT_TELL, "not_looked"
    left = open_parts(result)
    if outcome is Outcome.MEETS and left:
        outcome, key = Outcome.CANNOT_TELL, "left_alone"
    answer = said(f"sheet.sources.answer.{key}", count=left if key == "left_alone" else told.count(outcome))
    return Answer(question, answer, outcome, (result.say,))


def open_parts(result: SourcesResult) -> int:
    """How many answers do not meet or cannot be told, though no finding says so: of what the work leaves alone."""
    told = [bus.outcome for bus in result.buses] + [string.outcome for string in result.strings]
    told += [neutral.outcome for neutral in result.neutral] + [each.outcome for each in result.capacity]
    told += [signal.outcome for signal in result.signals]
    return sum(1 for each in told if each in (Outcome.FAILS, Outcome.CANNOT_TELL))


def cautions(at: HouseAt) -> Iterator[Caution]:
    """What stands where the hazard is."""
    yield Caution("danger", said("sheet.sources.more_than_one"))
    if any(each.kind in BURNS for each in at.house.sources):
        yield Caution("warning", said("sheet.sources.exhaust"))
    if at.house.transfers:
        yield Caution("warning", said("sheet.sources.interlock_no_lock"))


def sections(at: HouseAt, result: SourcesResult, systems: Sequence[ManagementFacts] = ()) -> Iterator[Block]:
    """Paths, buses, strings, neutral, capacity, signals, each with its heading, as far as a house has them."""
    if at.house.sources:
        yield Heading(said("sheet.sources.paths"))
        yield paths_table(at)
    for bus in result.buses:
        yield Heading(said(f"sheet.sources.bus.{bus.kind}", name=bus.name))
        if bus.options:
            yield bus_table(bus)
        else:
            yield Paragraph(said("sheet.sources.no_option"))
    if result.strings:
        yield Heading(said("sheet.sources.strings"))
        yield strings_table(result)
    if result.neutral:
        yield Heading(said("sheet.sources.neutral"))
        yield neutral_table(at, result)
    if result.capacity:
        yield Heading(said("sheet.sources.capacity"))
        yield capacity_table(result)
        if any(each.by == "managed" for each in result.capacity):
            yield from management_blocks(systems)
    for heading, table, sheds in signal_tables(at, result):
        yield Heading(heading)
        yield table
        if sheds is not None:
            yield Paragraph(sheds)
            yield Caution("notice", said("sheet.sources.never_life"))


def workings(result: SourcesResult, origins: Origins) -> Iterator[Block]:
    """The figures line by line: of each bus its first option with a figure, strings, capacity."""
    above: tuple[Step, ...] = ()
    for heading, step in _figures(result):
        if step.args:
            yield Heading(heading)
            yield Working(step, above, origins)
            above = (*above, step)


def _figures(result: SourcesResult) -> Iterator[tuple[Msg, Step]]:
    for bus in result.buses:
        option = next((each for each in bus.options if each.used is not None), None)
        if option is not None and option.used is not None:
            yield said("sheet.sources.worked", what=bus.name, how=option.name), option.used
    for string in result.strings:
        if string.volts is not None:
            yield said("sheet.sources.worked", what=string.name, how=said("sheet.sources.cold")), string.volts
    for each in result.capacity:
        if each.asked is not None and each.asked.op != "round":  # the calculated load has a sheet of its own
            yield said("sheet.sources.worked", what=each.name, how=said("sheet.sources.asked")), each.asked
