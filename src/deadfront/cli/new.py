"""`deadfront new`: a fresh job, as a file or in the library."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from deadfront.cli import jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import EDITIONS, language_option, library_option, library_path
from deadfront.errors import NotAllowed
from deadfront.store.trouble import guarded


@click.command("new")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--name", required=True, help="What the job is called; most call it by its address.")
@click.option("--edition", type=click.Choice(EDITIONS), required=True, help="The edition of the code in force there.")
@click.option("--place", default="", help="Town or county whose authority decides.")
@click.option("--owner", default="", help="Who owns the house.")
@click.option("--electrician", default="", help="The license holder.")
@click.option("--license", "license_number", default="", help="The license number.")
@language_option
@library_option
def new_command(
    file: Path | None, name: str, edition: str, place: str, owner: str, electrician: str, license_number: str,
    language: str | None, library: Path | None,
) -> int:  # fmt: skip
    """Start a job: in FILE (.toml), or in the library where no FILE is named.

    The file is plain text with comments that say how to fill it in. What is left out is not known, never zero.

    \b
    Examples:
      deadfront new elm.toml --name "9 Elm St" --edition 2023 --place "Marlow Falls"
      deadfront new --name "9 Elm St" --edition 2020        in the library; prints the job's id

    Exit code: 0 made, 2 wrong use, 4 cannot be written, 5 FILE is there already or does not end in .toml.
    """
    head: dict[str, Any] = {"name": name, "code": {"edition": edition}}
    given = {"place": place, "owner": owner, "electrician": electrician, "license": license_number}
    head |= {key: value for key, value in {**given, "language": language}.items() if value}
    catalog = jobs.catalog_for(language)
    if file is None:
        text.say(catalog.key("cli.new.in_library", job=in_library(head, library), path=str(library_path(library))))
        return Ending.OK
    write_new(file, head)
    text.say(catalog.key("cli.new.written", path=str(file)))
    return Ending.OK


def in_library(head: dict[str, Any], library: Path | None) -> str:
    """A new job of the library; its id."""
    from deadfront.app.library import Desk
    from deadfront.store.library import open_library

    with open_library(library_path(library)) as shelf:
        return Desk(shelf).create_job(head)


def write_new(file: Path, head: dict[str, Any]) -> None:
    """Write a fresh job file.

    Raises:
        NotAllowed: it is there already, or has another ending.
        JobUnreadable: a field of the head is not allowed.
    """
    from deadfront.job.read import read_job
    from deadfront.job.write import new_job_text

    if file.suffix.lower() != ".toml":
        raise NotAllowed("cli.new.ending", path=str(file))
    if file.exists():
        raise NotAllowed("cli.new.exists", path=str(file))
    made = new_job_text(head)
    read_job(made, file=file.name)
    with guarded(file), file.open("x", encoding="utf-8", newline="\n") as out:
        out.write(made)
