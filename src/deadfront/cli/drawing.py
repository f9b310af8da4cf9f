"""`deadfront drawing`: the one-line diagram as a file."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.app.answers import sheet_head
from deadfront.app.clock import now
from deadfront.app.drawing import FORMS, drawing_file
from deadfront.cli import jobs, text
from deadfront.cli.answer_text import cautions
from deadfront.cli.ending import Ending
from deadfront.cli.options import at_option, language_option, library_option, overlay_option
from deadfront.cli.put_file import put_file
from deadfront.cli.text import file_name
from deadfront.errors import NotAllowed


@click.command("drawing")
@click.argument("job")
@click.option("--as", "form", type=click.Choice(FORMS), help="Kind of file. Left out: by the ending of FILE, else svg.")
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
              help="Where to write it; an existing file is replaced. Left out: the job's name, here.")  # fmt: skip
@at_option
@overlay_option
@language_option
@library_option
def drawing_command(
    job: str, form: str | None, out: Path | None, at: str | None, overlay: Path | None, language: str | None,
    library: Path | None,
) -> int:  # fmt: skip
    """Write the one-line diagram: utility, meter, disconnects, panels, feeders, transfer, sources, with sizes,
    ratings, fault currents and tags. What is not known stands as "?". DXF needs the extra drawing.

    \b
    Examples:
      deadfront drawing elm.toml
      deadfront drawing elm.toml --as dxf
      deadfront drawing elm.toml --at before -o elm-before.pdf

    Exit code: 0 written, 4 unreadable or not to be written, 5 another kind of file, or the extra is missing.
    """
    found, answered = jobs.answered(job, library, at=at, overlay=overlay)
    catalog = jobs.catalog_for(language, found.job)
    kind = form or (out.suffix.lower().lstrip(".") if out is not None else "svg")
    path = out or Path(f"{file_name(found.job.job.name)}-one-line.{kind}")
    if out is None and (path.exists() or path.is_symlink()):
        raise NotAllowed("cli.packet.there", path=str(path))
    today = now().date()
    data = drawing_file(answered, catalog, kind, sheet_head(answered, revision=found.revision, on=today), on=today)
    put_file(path, data)
    text.say(catalog.key("cli.drawing.written", path=str(path)))
    for line in cautions(catalog):
        text.say(line)
    return Ending.OK
