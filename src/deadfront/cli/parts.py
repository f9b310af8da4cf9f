"""`deadfront parts`: the parts that the work needs, on the terminal or as a file for a spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from deadfront.app.clock import now
from deadfront.app.parts import parts, parts_file
from deadfront.cli import jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import at_option, language_option, library_option, overlay_option
from deadfront.cli.put_file import put_file
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.parts import Part
from deadfront.documents.panel_sheets.parts_sheet import spoken_rows


@click.command("parts")
@click.argument("job")
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
              help="Write it to this file, .xlsx or .csv; an existing one is replaced. Left out: show it.")  # fmt: skip
@at_option
@overlay_option
@language_option
@library_option
def parts_command(
    job: str, out: Path | None, at: str | None, overlay: Path | None, language: str | None, library: Path | None
) -> int:
    """List what the work needs: breakers, conductors by length, lugs, bonding, plugs, labels; and what comes out.

    \b
    Examples:
      deadfront parts elm.toml
      deadfront parts elm.toml -o elm-parts.xlsx
      deadfront parts elm.toml -o elm-parts.csv --language es

    Exit code: 0 listed or written, 4 unreadable or not to be written, 5 another kind of file.
    """
    found, answered = jobs.answered(job, library, at=at, overlay=overlay)
    catalog = jobs.catalog_for(language, found.job)
    listed = parts(answered)
    if out is None:
        _show(listed, catalog)
        return Ending.OK
    data = parts_file(listed, catalog, out.suffix, on=now().date())
    put_file(out, data)
    text.say(catalog.key("cli.parts.written", path=str(out), count=len(listed)))
    return Ending.OK


def _show(listed: Sequence[Part], catalog: Catalog) -> None:
    """The list by sections."""
    if not listed:
        text.say(catalog.key("cli.parts.none"))
        return
    section = ""
    for head, what, quantity, used, note in spoken_rows(listed, catalog):
        if head != section:
            text.heading(head)
            section = head
        told = f"{quantity}  {what}" + (f": {used}" if used else "") + (f" ({note})" if note else "")
        text.say(told, "  ", "      ")
    text.say()
    if any(part.length is not None for part in listed):
        text.say(catalog.key("assumption.parts_cutting_allowance"))
    text.say(catalog.key("sheet.parts.not_all"))
