"""The circuit schedule: every circuit and feeder with its load, breaker, conductors and verdict, worked where new."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.documents.circuit_sheets.common import (
    Origins,
    figure,
    of_kind,
    sheet_of,
    sizes,
    tag_cell,
    touched,
    worst,
)
from deadfront.documents.conductor_text import cable_text, conductors_text, spaces_text
from deadfront.documents.notes import noted
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Cable
from deadfront.msg import said
from deadfront.results.circuits import CircuitsResult, Run
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
    Working,
)
from deadfront.worksheet.step import Step

DROP = "circuit.voltage_drop"
HEADS = ("circuit", "feeder", "protection", "gear")
COLUMNS = ("space", "circuit", "load", "breaker", "conductors", "good_for", "stands", "smallest", "drop")


def schedule_sheet(
    at: HouseAt, result: CircuitsResult, head: SheetHead, origins: Origins | None = None
) -> Sheet | None:
    """Every run of conductors of a house on paper; None where there is none."""
    if not result.runs:
        return None
    checks = of_kind(result.checks, *HEADS)
    findings = noted(c for c in (*of_runs(result), *checks) if c.is_finding)
    blocks: list[Block] = [schedule_answer(result, checks)]
    for kind in ("service", "feeder", "circuit"):
        runs = [run for run in result.runs if run.kind == kind]
        if runs:
            blocks += [Heading(said(f"sheet.circuits.{kind}")), _table(at, result, runs, checks)]
    blocks.append(Paragraph(said("sheet.circuits.key")))
    blocks += [Heading(said("sheet.findings")), Findings(findings)]
    blocks.append(Caution("notice", said("sheet.circuits.directory")))
    blocks.append(Caution("notice", said("sheet.load.review")))
    blocks.append(Signature(said("sheet.signed_by")))
    blocks += _worked(result, origins or {})
    return sheet_of("circuits", head, blocks, findings)


def of_runs(result: CircuitsResult) -> tuple[Check, ...]:
    """Checks that a run brings along: of the service, those of the load stage."""
    return tuple(check for run in result.runs for check in run.checks)


def schedule_answer(result: CircuitsResult, checks: tuple[Check, ...]) -> Answer:
    """The question and its answer: how many runs do not hold, how many cannot be told."""
    told = [c for c in (*of_runs(result), *checks) if c.severity is not Severity.NOTE]
    bad = len({c.thing for c in told if c.outcome is Outcome.FAILS})
    open_ = len({c.thing for c in told if c.outcome is Outcome.CANNOT_TELL})
    question = said("sheet.circuits.question")
    if bad:
        return Answer(question, said("sheet.circuits.answer.fails", count=bad), Outcome.FAILS)
    if open_:
        return Answer(question, said("sheet.circuits.answer.cannot_tell", count=open_), Outcome.CANNOT_TELL)
    return Answer(question, said("sheet.circuits.answer.meets", count=len(result.runs)), Outcome.MEETS)


def _table(at: HouseAt, result: CircuitsResult, runs: list[Run], checks: tuple[Check, ...]) -> Table:
    names = tuple(said(f"sheet.circuits.column.{name}") for name in COLUMNS)
    rows = tuple(cells for _, cells in schedule_rows(at, result, runs, checks))
    return Table(names, rows, (2, 3, 5, 8), key="circuits")


def schedule_rows(
    at: HouseAt, result: CircuitsResult, runs: list[Run], checks: tuple[Check, ...]
) -> list[tuple[Run, tuple[Cell, ...]]]:
    """Each run with its cells in the order of COLUMNS, as the panel has them."""
    breakers = {each.id: each for each in at.house.breakers}
    cables = cables_of(at)
    drops = {each.of: each for each in result.drops}
    by_thing: dict[str, list[Check]] = {}
    for check in checks:
        by_thing.setdefault(check.thing, []).append(check)
    rows: list[tuple[Run, tuple[Cell, ...]]] = []
    for run in sorted(runs, key=lambda r: _place(breakers.get(r.breaker))):
        breaker = breakers.get(run.breaker)
        drop = drops.get(run.of)
        own = [*run.checks, *by_thing.get(run.of, []), *by_thing.get(run.breaker, [])]
        rows.append((run, (
            spaces_text(breaker) if breaker else "", run_name(at, run), figure(run.load), figure(run.rating),
            cables.get(run.of, ""), figure(run.ampacity), worst(own), sizes(run.smallest),
            figure(drop.here if drop else None, 1),
        )))  # fmt: skip
    return rows


def run_name(at: HouseAt, run: Run) -> Cell:
    """A run with its tag where the work touches it."""
    tag = tag_cell(at, run.of)
    return run.name if tag in ("", "E") else said("thing.tagged", thing=run.name, tag=tag)


def _place(breaker: Breaker | None) -> tuple[str, int, str]:
    """Order of the panel: by panel, space, half."""
    if breaker is None:
        return "", 999, ""
    return breaker.panel or "", min(breaker.spaces, default=998), breaker.half or ""


def cables_of(at: HouseAt) -> dict[str, str]:
    """What the conductors of every run are, by the id the run has."""
    house = at.house
    cables: list[tuple[str, Cable]] = [(c.id, c.cable) for c in house.circuits]
    cables += [(panel.id, panel.feeder) for panel in house.panels]
    return {"service": conductors_text(house.service.conductors)} | {key: cable_text(each) for key, each in cables}


def _worked(result: CircuitsResult, origins: Origins) -> Iterator[Block]:
    """Every figure of what the work touches, line by line; the whole drop only where a finding tells it."""
    told = {check.thing for check in result.checks if check.is_finding and check.id == DROP}
    for run in result.runs:
        if touched(run.reach):
            yield from working_of(run, result, origins, all_along=run.of in told)


def working_of(run: Run, result: CircuitsResult, origins: Origins, *, all_along: bool = True) -> Iterator[Block]:
    """Every figure of one run, line by line: what it must be good for, what it may carry, its drop.

    Args:
        all_along: The drop from the transformer to its far end; no: along the run itself, as the schedule prints it.
    """
    above: tuple[Step, ...] = ()
    for name, step in (("least", run.least), ("ampacity", run.ampacity), ("most", run.breaker_most)):
        if step is not None:
            yield Heading(said(f"sheet.circuits.worked.{name}", run=run.name))
            yield Working(step, above, origins)
            above = (*above, step)
    for what, found in (("smallest", run.smallest), ("ground", run.ground)):
        if found:
            yield Heading(said(f"sheet.circuits.worked.{what}", run=run.name))
            yield Working(found[0].step, above, origins)
    drop = next((each for each in result.drops if each.of == run.of), None)
    if drop is not None:
        yield Heading(said("sheet.circuits.worked.drop", run=run.name))
        yield Working((drop.all_along if all_along else None) or drop.here, (), origins)
