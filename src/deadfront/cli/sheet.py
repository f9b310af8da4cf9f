"""`deadfront sheet`: one sheet of the packet on the terminal."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.app.answers import sheets_of
from deadfront.app.clock import now
from deadfront.cli import jobs, text
from deadfront.cli.answer_text import cautions
from deadfront.cli.ending import Ending
from deadfront.cli.options import language_option, library_option, overlay_option
from deadfront.cli.sheet_text import sheet_text
from deadfront.errors import NotAllowed


@click.command("sheet")
@click.argument("job")
@click.argument("name", required=False)
@click.option("--at", metavar="STEP", help='Step of the work, or "before". Left out: all done.')
@overlay_option
@language_option
@library_option
def sheet_command(
    job: str, name: str | None, at: str | None, overlay: Path | None, language: str | None, library: Path | None
) -> int:
    """Show one sheet of the packet: load, one-line, circuits, sources, grounding, fault, hazards,
    site, panel, directory, labels, parts, isolation, metering, todo; after the work installation,
    torque, commissioning, corrections, to write on too. Without NAME: list them.

    \b
    Examples:
      deadfront sheet elm.toml
      deadfront sheet elm.toml circuits
      deadfront sheet elm.toml fault --language es

    Exit code: 0 shown, 4 unreadable, 5 no such sheet in this job.
    """
    found, answered = jobs.answered(job, library, at=at, overlay=overlay, photos=True)
    catalog = jobs.catalog_for(language, found.job)
    made = sheets_of(answered, catalog, revision=found.revision, on=now().date(), photos=found.photos, blank=True)
    sheets = {sheet.key: sheet for sheet in made}
    if name is None:
        text.table([[key, catalog.say(sheet.title)] for key, sheet in sheets.items()])
        return Ending.OK
    if name not in sheets:
        raise NotAllowed("cli.sheet.none", found=name, allowed=tuple(sheets))
    sheet_text(sheets[name], catalog)
    text.say()
    for line in cautions(catalog):
        text.say(line)
    return Ending.OK
