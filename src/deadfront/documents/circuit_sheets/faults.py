"""The fault-current and label sheet: what each place can see, what each device must interrupt, what to write on it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP

from deadfront.documents.catalog import Catalog
from deadfront.documents.circuit_sheets.common import UNKNOWN, Origins, of_kind, sheet_of
from deadfront.documents.circuit_sheets.fault_ruler import fault_pictures
from deadfront.job.house import HouseAt
from deadfront.msg import said
from deadfront.quantities import Interval, point
from deadfront.results.circuits import CircuitsResult, FaultPoint
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Figure,
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
from deadfront.worksheet.step import Step

AHEAD = ("transformer", "service point")
COLUMNS = ("place", "leg_leg", "leg_neutral", "largest", "smallest", "stands")


def fault_sheet(
    at: HouseAt, result: CircuitsResult, head: SheetHead, origins: Origins | None = None, catalog: Catalog | None = None
) -> Sheet | None:
    """Available fault current on paper, and the words of the labels; None where no place is known.

    Args:
        catalog: The language of the pictures; None: without them.
    """
    if not result.faults:
        return None
    checks = of_kind(result.checks, "fault")
    findings = tuple(c for c in checks if c.is_finding)
    blocks: list[Block] = [_answer(checks), Heading(said("sheet.fault.places")), _table(result, checks)]
    blocks += [picture for _, picture in fault_pictures(at, result, catalog)] if catalog else []
    blocks.append(Paragraph(said("sheet.fault.ends")))
    blocks += [Heading(said("sheet.findings")), Findings(findings)]
    blocks += [Heading(said("sheet.fault.labels")), _labels(at, result, head)]
    blocks.append(Paragraph(said("sheet.fault.label_rule")))
    blocks.append(Caution("warning", said("sheet.fault.line_side")))
    blocks.append(Caution("notice", said("sheet.load.review")))
    blocks.append(Signature(said("sheet.signed_by")))
    blocks += _worked(result, origins or {})
    return sheet_of("fault", head, blocks, findings)


def _worked(result: CircuitsResult, origins: Origins) -> Iterator[Block]:
    """The service and each panel whose current differs, line by line; what lies ahead of them is among their lines."""
    above: tuple[Step, ...] = ()
    seen: set[tuple[str, Interval]] = set()
    for place in result.faults:
        for name, step in (("line_to_line", place.line_to_line), ("line_to_neutral", place.line_to_neutral)):
            if step is None or not step.args or place.of in AHEAD or (name, step.value) in seen:
                continue
            seen.add((name, step.value))
            yield Heading(said(f"sheet.fault.worked.{name}", place=place.name))
            yield Working(step, above, origins)
            above = (*above, step)


def _answer(checks: tuple[Check, ...]) -> Answer:
    """Whether every device interrupts what it can see."""
    told = [c.outcome for c in checks if c.severity is not Severity.NOTE]
    found = next((o for o in (Outcome.FAILS, Outcome.CANNOT_TELL) if o in told), None)
    outcome = found or (Outcome.MEETS if told else Outcome.CANNOT_TELL)
    question = said("sheet.fault.question")
    return Answer(question, said(f"sheet.fault.answer.{outcome.name.lower()}", count=told.count(outcome)), outcome)


def _table(result: CircuitsResult, checks: tuple[Check, ...]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for place in result.faults:
        own = [c.outcome for c in checks if c.thing == place.of and c.severity is not Severity.NOTE]
        outcome = next((o for o in (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS) if o in own), None)
        stands: Cell = Verdict(outcome) if outcome else ""
        figures = (place.line_to_line, place.line_to_neutral, place.largest, place.smallest)
        rows.append((place.name, *(whole_amperes(each) for each in figures), stands))
    names = tuple(said(f"sheet.fault.column.{name}") for name in COLUMNS)
    return Table(names, tuple(rows), (1, 2, 3, 4), key="faults")


def _labels(at: HouseAt, result: CircuitsResult, head: SheetHead) -> Table:
    """What is written beside each place: largest fault current, date of the reckoning."""
    rows: list[tuple[Cell, ...]] = [
        (place.name, _label(place, head)) for place in result.faults if place.largest and place.of not in AHEAD
    ]
    names = (said("sheet.fault.column.place"), said("sheet.fault.column.label"))
    return Table(names, tuple(rows), key="labels")


def _label(place: FaultPoint, head: SheetHead) -> Cell:
    assert place.largest is not None
    high = place.largest.value.high
    if high is None:
        return UNKNOWN
    whole = high.to_integral_value(rounding=ROUND_CEILING)
    return said("sheet.fault.label", current=Figure(point(whole), "A"), on=head.on)


def whole_amperes(step: Step | None) -> Cell:
    """A fault current in whole amperes, its ends outward: tenths of an ampere would promise too much."""
    if step is None or (step.value.high is None and step.value.low == 0):
        return UNKNOWN
    low, high = step.value.low, step.value.high
    if high is None:
        return Figure(Interval(low.to_integral_value(rounding=ROUND_FLOOR), None), "A")
    if step.value.exact:
        return Figure(point(low.to_integral_value(rounding=ROUND_HALF_UP)), "A")
    ends = low.to_integral_value(rounding=ROUND_FLOOR), high.to_integral_value(rounding=ROUND_CEILING)
    return Figure(Interval(*ends), "A")
