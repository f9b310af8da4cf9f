"""`deadfront isolate`: how a zone of one's own is made dead."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.app.answers import sheet_head
from deadfront.app.clock import now
from deadfront.cli import jobs, text
from deadfront.cli.answer_text import cautions
from deadfront.cli.ending import Ending
from deadfront.cli.options import at_option, language_option, library_option, overlay_option
from deadfront.cli.sheet_text import sheet_text
from deadfront.documents.isolation_sheets.plan_sheet import isolation_sheet
from deadfront.errors import NotAllowed, NotFound
from deadfront.isolation.rules.answer import plan_of
from deadfront.results.isolation import IsolationPlan, IsolationResult
from deadfront.worksheet.check import Outcome


@click.command("isolate")
@click.argument("job")
@click.argument("zone")
@at_option
@overlay_option
@language_option
@library_option
def isolate_command(
    job: str, zone: str, at: str | None, overlay: Path | None, language: str | None, library: Path | None
) -> int:
    """Plan how a zone is made dead: locks, procedure, what stays live, what to test, the way back.

    ZONE is the id of a step of the work, or of a panel, breaker, circuit, transfer equipment, disconnect, source or
    meter, or service, outside, drop. A plan is checked against the recorded drawing; only the test at the point of
    work shows that it is dead.

    \b
    Examples:
      deadfront isolate elm.toml p-k3m
      deadfront isolate elm.toml w-4c1
      deadfront isolate elm.toml service --at before

    Exit code: 0 planned, 1 others must isolate first, 3 cannot tell, 4 unreadable, 5 no such zone or step.
    """
    found, answered = jobs.answered(job, library, at=at, overlay=overlay)
    catalog = jobs.catalog_for(language, found.job)
    result = answered.assessment.isolation
    steps = {step.id for step in found.job.work}
    plan = result.plan(zone)
    if plan is None and zone in steps:
        raise NotAllowed("cli.isolate.nothing", step=zone)
    if plan is None:
        try:
            plan = plan_of(answered.assessment.at, zone)
        except NotFound as error:
            raise NotAllowed(error.msg.key, **error.msg.params) from error
    head = sheet_head(answered, revision=found.revision, on=now().date())
    sheet = isolation_sheet(IsolationResult((plan,), result.checks), head)
    if sheet is not None:
        sheet_text(sheet, catalog)
    text.say()
    text.say(cautions(catalog)[-1])  # the others stand in the plan, or are of the load calculation
    return ending_of(plan)


def ending_of(plan: IsolationPlan) -> int:
    """How the command ends: planned, others first, or cannot tell."""
    if plan.outcome is Outcome.MEETS:
        return Ending.OK
    return Ending.TO_CORRECT if plan.answer == "others" and not plan.missing and not plan.waits else Ending.CANNOT_TELL
