"""`deadfront import` and `deadfront export`: jobs into the library and out of it."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.cli import answer_text, jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import language_option, library_option, library_path


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--who", default="", help="Your name, for the history.")
@language_option
@library_option
def import_command(file: Path, who: str, language: str | None, library: Path | None) -> int:
    """Bring a job file (.toml, .zip or a folder) into the library; prints the job's id.

    Hashes are checked, photos lose the place they were taken, blocks that cannot be read are kept word for word, and
    recordings beside the job come along.

    \b
    Examples:
      deadfront import elm.zip
      deadfront import elm.toml --who "R. Alvarez"

    Exit code: 0 brought in, 1 brought in with something to correct in the file, 4 unreadable or unsafe.
    """
    from deadfront.app.library import Desk
    from deadfront.app.take_along import take_along
    from deadfront.store.library import open_library

    catalog = jobs.catalog_for(language)
    with open_library(library_path(library)) as shelf:
        desk = Desk(shelf)
        found = desk.import_job(file, who)
        taken, behind = take_along(desk, found.job_id, file)
    text.say(catalog.key("cli.imported", job=found.job_id, path=str(library_path(library))))
    for note in found.notes:
        text.say(catalog.say(note), "  ")
    for name in taken:
        text.say(catalog.key("app.recording.taken_along", file=name), "  ")
    for ident, why in behind.items():
        text.say(catalog.key("app.recording.stayed_behind", id=ident, why=why), "  ")
    answer_text.problems(found.problems, file.name, catalog)
    return Ending.TO_CORRECT if found.problems else Ending.OK


@click.command("export")
@click.argument("job")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--revision", type=click.IntRange(1), help="An earlier revision. Left out: the current one.")
@language_option
@library_option
def export_command(job: str, file: Path, revision: int | None, language: str | None, library: Path | None) -> int:
    """Write a job of the library as a job file with its photos: a .zip, or a folder where FILE has no ending.

    \b
    Examples:
      deadfront export j-k3m7 elm.zip
      deadfront export j-k3m7 elm --revision 4

    Exit code: 0 written, 4 no such job or not to be written, 5 FILE is in use or has another ending.
    """
    from deadfront.app.library import Desk
    from deadfront.store.library import open_library

    with open_library(library_path(library)) as shelf:
        Desk(shelf).export_job(job, file, revision)
    text.say(jobs.catalog_for(language).key("cli.exported", job=job, path=str(file)))
    return Ending.OK
