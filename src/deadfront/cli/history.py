"""`deadfront jobs`, `deadfront history`, `deadfront issue`: the library's jobs, what changed, what was signed."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.cli import jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import language_option, library_option, library_path


@click.command("jobs")
@language_option
@library_option
def jobs_command(language: str | None, library: Path | None) -> int:
    """List the jobs of the library, the last changed first.

    \b
    Examples:
      deadfront jobs
      deadfront jobs --library /media/stick/jobs

    Exit code: 0, 4 the library cannot be used.
    """
    from deadfront.store.library import open_library

    catalog = jobs.catalog_for(language)
    with open_library(library_path(library)) as shelf:
        rows = shelf.jobs()
    if not rows:
        text.say(catalog.key("cli.jobs.none", path=str(library_path(library))))
        return Ending.OK
    heads = [catalog.key(f"cli.column.{name}") for name in ("job", "revision", "changed", "name")]
    text.table([heads, *([row.id, str(row.revision), f"{row.changed:%Y-%m-%d %H:%M}", row.name] for row in rows)],
               right=(1,), indent="")  # fmt: skip
    return Ending.OK


@click.command("history")
@click.argument("job")
@language_option
@library_option
def history_command(job: str, language: str | None, library: Path | None) -> int:
    """List every revision of a job of the library, the newest first, with what it changed.

    \b
    Examples:
      deadfront history j-k3m7

    Exit code: 0, 4 no such job.
    """
    from deadfront.app.library import Desk
    from deadfront.store.library import open_library

    catalog = jobs.catalog_for(language)
    with open_library(library_path(library)) as shelf:
        desk = Desk(shelf)
        shelf.job(job)
        rows, issues = desk.history(job), shelf.issues(job)
    signed = {each.revision: each for each in issues}
    heads = [catalog.key(f"cli.column.{name}") for name in ("revision", "changed", "who", "what")]
    body = []
    for row in rows:
        what = catalog.say(row.say)
        if row.number in signed:
            what += " " + catalog.key("cli.signed_by", who=signed[row.number].who)
        body.append([str(row.number), f"{row.at:%Y-%m-%d %H:%M}", row.who, what])
    text.table([heads, *body], right=(0,), indent="")
    return Ending.OK
