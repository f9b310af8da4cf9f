"""The grounding sheet: what the code asks of every grounding and bonding conductor, what is there, what is open."""

from __future__ import annotations

from deadfront.documents.circuit_sheets.common import UNKNOWN, Origins, of_kind, place_name, sheet_of, sizes
from deadfront.job.house import HouseAt
from deadfront.msg import said
from deadfront.results.circuits import CircuitsResult, Required
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Findings,
    Heading,
    Sheet,
    SheetHead,
    Signature,
    Table,
    Verdict,
    Working,
)

HEADS = ("grounding", "service", "structure")
COLUMNS = ("what", "where", "least", "found", "stands")


def grounding_sheet(
    at: HouseAt, result: CircuitsResult, head: SheetHead, origins: Origins | None = None
) -> Sheet | None:
    """Service, grounding and bonding on paper; None where nothing of it is known."""
    checks = of_kind(result.checks, *HEADS)
    if not result.grounding and not checks:
        return None
    findings = tuple(c for c in checks if c.is_finding)
    blocks: list[Block] = [_answer(result)]
    blocks.append(Caution("danger", said("sheet.grounding.live")))
    if result.grounding:
        blocks += [Heading(said("sheet.grounding.conductors")), grounding_table(at, result)]
    blocks += [Heading(said("sheet.findings")), Findings(findings)]
    blocks.append(Caution("warning", said("sheet.grounding.neutral")))
    blocks.append(Caution("notice", said("sheet.grounding.dig")))
    blocks.append(Caution("notice", said("sheet.load.review")))
    blocks.append(Signature(said("sheet.signed_by")))
    for line in result.grounding:
        if line.smallest:
            blocks.append(Heading(said("sheet.grounding.worked", what=line.name, where=place_name(at, line.of))))
            blocks.append(Working(line.smallest[0].step, (), origins or {}))
    return sheet_of("grounding", head, blocks, findings)


def grounding_table(at: HouseAt, result: CircuitsResult) -> Table:
    """What the code asks of each conductor of grounding and bonding, and what is in place."""
    rows: list[tuple[Cell, ...]] = [
        (line.name, place_name(at, line.of), sizes(line.smallest), line.found or UNKNOWN, _stands(line))
        for line in result.grounding
    ]
    return Table(tuple(said(f"sheet.grounding.column.{name}") for name in COLUMNS), tuple(rows), key="grounding")


def _today_only(line: Required) -> bool:
    """Whether a line falls short of a rule of today that the work does not reach."""
    return not line.asked and line.outcome in (Outcome.FAILS, Outcome.CANNOT_TELL)


def _stands(line: Required) -> Verdict:
    """How a line stands; one that nothing asks of this house says so."""
    return (
        Verdict(Outcome.NOT_APPLICABLE, said("sheet.grounding.today")) if _today_only(line) else Verdict(line.outcome)
    )


def _answer(result: CircuitsResult) -> Answer:
    """Whether grounding and bonding stand as the code asks."""
    checks = [c for c in of_kind(result.checks, *HEADS) if c.is_finding and c.severity.name != "NOTE"]
    said_of = {(c.thing, c.outcome) for c in checks}
    told = [c.outcome for c in checks]
    told += [line.outcome for line in result.grounding
             if not _today_only(line) and (line.of, line.outcome) not in said_of]  # fmt: skip
    for outcome in (Outcome.FAILS, Outcome.CANNOT_TELL):
        if outcome in told:
            break
    else:
        outcome = Outcome.MEETS
        today = sum(1 for line in result.grounding if _today_only(line))
        if today:
            answer = said("sheet.grounding.answer.today", count=today)
            return Answer(said("sheet.grounding.question"), answer, Outcome.NOT_APPLICABLE)
    count = sum(1 for each in told if each is outcome)
    answer = said(f"sheet.grounding.answer.{outcome.name.lower()}", count=count)
    return Answer(said("sheet.grounding.question"), answer, outcome)
