"""`deadfront check`: what is wrong with a job file, and what the checks find."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.cli import answer_text, jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import at_option, language_option, library_option


@click.command("check")
@click.argument("job")
@at_option
@language_option
@library_option
def check_command(job: str, at: str | None, language: str | None, library: Path | None) -> int:
    """Read a job and list what is wrong with it: the file first, then the findings.

    Whatever can be read is read; a block that cannot is named with its line and what is allowed, and makes its list
    incomplete.

    \b
    Examples:
      deadfront check elm.toml
      deadfront check elm.toml --at before

    Exit code: 0 nothing, 1 something to correct in the file or the house, 3 facts missing, 4 unreadable.
    """
    found, answered = jobs.answered(job, library, at=at)
    catalog = jobs.catalog_for(language, found.job)
    if found.problems:
        text.heading(catalog.key("cli.problems"))
        answer_text.problems(found.problems, found.where, catalog)
    else:
        text.say(catalog.key("cli.file_well", where=found.where))
    answer_text.findings(answered, catalog)
    answer_text.to_find(answered, catalog)
    return Ending.TO_CORRECT if found.problems else answer_text.ending(answered)
