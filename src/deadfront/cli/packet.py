"""`deadfront packet`: every sheet of a job on paper."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.app.answers import packet, sheets_of
from deadfront.app.clock import now
from deadfront.cli import jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import language_option, library_option, overlay_option
from deadfront.cli.put_file import put_file
from deadfront.errors import NotAllowed


@click.command("packet")
@click.argument("job")
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
              help="Where to write it; an existing file is replaced. Left out: the job's name, here.")  # fmt: skip
@click.option("--html", is_flag=True, help="One HTML file that needs nothing else, instead of a PDF.")
@overlay_option
@language_option
@library_option
def packet_command(
    job: str, out: Path | None, html: bool, overlay: Path | None, language: str | None, library: Path | None
) -> int:
    """Write the inspector's packet: load, circuits, grounding, faults, hazards with photos, what is still to find out.

    Until the license holder has signed a revision with nothing open, every sheet says DRAFT and why.

    \b
    Examples:
      deadfront packet elm.toml -o elm.pdf
      deadfront packet elm.toml --html -o elm.html
      deadfront packet elm.toml --language es

    Exit code: 0 written, 4 unreadable or not to be written, 5 not encoded.
    """
    found, answered = jobs.answered(job, library, overlay=overlay, photos=True)
    catalog = jobs.catalog_for(language, found.job)
    path = out or Path(text.file_name(found.job.job.name) + (".html" if html else ".pdf"))
    if out is None and (path.exists() or path.is_symlink()):
        raise NotAllowed("cli.packet.there", path=str(path))
    text.progress(catalog.key("cli.packet.making", path=str(path)))
    today = now().date()
    if html:
        from deadfront.documents.standalone import standalone_html

        sheets = sheets_of(answered, catalog, revision=found.revision, on=today, photos=found.photos)
        data = standalone_html(sheets, catalog).encode("utf-8")
    else:
        data = packet(answered, catalog, revision=found.revision, on=today, photos=found.photos)
    put_file(path, data)
    text.say(catalog.key("cli.packet.written", path=str(path), size=f"{len(data) // 1024:,}"))
    return Ending.OK
