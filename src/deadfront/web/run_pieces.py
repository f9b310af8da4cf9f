"""A run of conductors as the pages show it: its line in the schedule, its checks, its working."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from markupsafe import Markup

from deadfront.documents.circuit_sheets.common import of_kind
from deadfront.documents.circuit_sheets.schedule import COLUMNS, HEADS, schedule_rows, working_of
from deadfront.documents.findings import finding_text
from deadfront.documents.html import block_html, cell_html, verdict_html
from deadfront.results.circuits import Run
from deadfront.web.circuit_pieces import CheckLine, RunCell, RunLine, RunTable
from deadfront.web.desk import AtJob
from deadfront.web.render import safe
from deadfront.web.shell import circuit_href, help_pages
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.sheet import Cell, Figure, Verdict

NUMBERS = ("load", "breaker", "good_for", "drop")
BRIEF = ("load", "breaker", "conductors", "good_for", "drop")
STANDS = COLUMNS.index("stands")


def run_tables(at: AtJob) -> Iterator[RunTable]:
    """Every run, by its kind, in the order of the panel."""
    found = at.answered.assessment
    checks = of_kind(found.circuits.checks, *HEADS)
    heads = tuple(at.catalog.key(f"sheet.circuits.column.{name}") for name in COLUMNS)
    for kind in ("service", "feeder", "circuit"):
        runs = [run for run in found.circuits.runs if run.kind == kind]
        if runs:
            rows = schedule_rows(found.at, found.circuits, runs, checks)
            lines = tuple(run_line(at, run, cells) for run, cells in rows)
            yield RunTable(kind, at.catalog.key(f"sheet.circuits.{kind}"), heads, lines)


def run_line(at: AtJob, run: Run, cells: tuple[Cell, ...]) -> RunLine:
    """One line of the schedule."""
    say, named = at.catalog, dict(zip(COLUMNS, cells, strict=True))
    told = {name: text(at, cell) for name, cell in named.items()}
    shown = tuple(
        RunCell(say.key(f"sheet.circuits.column.{name}"), safe(cell_html(named[name], say)), name in NUMBERS)
        for name in COLUMNS if name not in ("space", "circuit", "stands")
    )  # fmt: skip
    known = [name for name in BRIEF if _known(named[name])]
    brief = " · ".join(say.key(f"web.run.brief.{name}", value=told[name]) for name in known)
    stands = named["stands"]
    assert isinstance(stands, Verdict)
    shape = safe(verdict_html(stands.outcome, say.verdict(stands)))
    href = f"/jobs/{at.id}/circuits/{run.of}"
    return RunLine(run.of, href, told["space"], told["circuit"], shown, shape, brief)


def text(at: AtJob, cell: Cell) -> str:
    """A cell as plain words."""
    if isinstance(cell, Figure):
        return at.catalog.figure(cell)
    return cell if isinstance(cell, str) else at.catalog.value(cell)


def _known(cell: Cell) -> bool:
    return isinstance(cell, Figure) or (isinstance(cell, str) and bool(cell))


def run_of(at: AtJob, ident: str) -> Run | None:
    """The run that a circuit, panel or the service is, or that a breaker protects; None for none."""
    runs = at.answered.assessment.circuits.runs
    return next((run for run in runs if run.of == ident), next((r for r in runs if ident and r.breaker == ident), None))


def checks_of(at: AtJob, idents: Iterable[str]) -> tuple[CheckLine, ...]:
    """The checks of some things with their remedies, those met last in one line each; what does not apply is left out.

    Open questions of the site list have a page of their own.
    """
    wanted = set(idents)
    return lines_of(at, (c for c in at.answered.assessment.checks if c.thing in wanted))


def lines_of(at: AtJob, checks: Iterable[Check]) -> tuple[CheckLine, ...]:
    """Checks with their remedies, what they wait for and its fields; what does not apply is left out."""
    return tuple(_check(at, c) for c in checks if _told(c))


def _check(at: AtJob, check: Check) -> CheckLine:
    found = finding_text(check, at.catalog)
    waits = tuple((at.catalog.say(m.what), circuit_href(at.id, m.path)) for m in check.missing if m.path)
    more = () if check.outcome is Outcome.CANNOT_TELL else found.more
    stands = safe(verdict_html(check.outcome, found.lead))
    help_ = f"/help/{check.id}" if check.id in help_pages() else ""
    return CheckLine(stands, found.say, more, waits, found.section, help_, check.outcome is Outcome.MEETS)


def _told(check: Check) -> bool:
    site = check.id.startswith("site.") and check.outcome is Outcome.CANNOT_TELL
    return check.outcome is not Outcome.NOT_APPLICABLE and not site


def worked_html(at: AtJob, run: Run | None) -> Markup:
    """Every figure of a run line by line, as on paper."""
    if run is None:
        return safe("")
    blocks = working_of(run, at.answered.assessment.circuits, at.origins)
    return safe("\n".join(block_html(block, at.catalog) for block in blocks))
