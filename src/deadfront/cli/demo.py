"""`deadfront demo`: an example house that exists nowhere, answered, printed and shown."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.app.demo import Demo, build_demo
from deadfront.cli import answer_text, jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import language_option
from deadfront.documents.catalog import Catalog
from deadfront.worksheet.check import Outcome


@click.command("demo")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), default=Path("demo"), show_default=True,
              metavar="DIR", help="Folder for the library, the job file and the packet.")  # fmt: skip
@click.option("--serve/--no-serve", "serves", default=True, show_default=True, help="Then open it in the browser.")
@language_option
def demo_command(out: Path, serves: bool, language: str | None) -> int:
    """Open an example house that exists nowhere: assess it, write its packet, show it in the browser.

    An invented house with 100 A service, 24 circuits and 18 loads, whose owners want an EV charger and a heat pump.
    Some facts are still missing, and the answer says so.

    \b
    Examples:
      deadfront demo
      deadfront demo --out house --no-serve
      deadfront demo --language es

    Exit code: 0, whatever the answer says; 4 the folder cannot be written; 130 stopped by Ctrl-C.
    """
    catalog = jobs.catalog_for(language)
    text.progress(catalog.key("cli.demo.making", path=str(out)))
    made = build_demo(out, catalog)
    told(made, catalog)
    if serves:
        from deadfront.web.serve import serve

        serve(made.library, open_browser=True)
    return Ending.OK


def told(made: Demo, catalog: Catalog) -> None:
    """The answer in ten lines, and where to look."""
    head, load = made.answered.job.job, made.answered.assessment.load
    text.say(catalog.key("cli.demo.house", name=head.name, place=head.place))
    answer_text.answer_lines(made.answered, catalog)
    for method in load.methods:
        if method.admissible is not Outcome.NOT_APPLICABLE:
            stands = text.verdict(method.verdict, catalog)
            text.say(f"{catalog.say(method.name)}: {answer_text.amperes(method, catalog)}, {stands}", "  ")
    first = made.answered.assessment.to_find[:1]
    for each in first:
        text.say(
            catalog.key("cli.demo.first", what=each.missing.what, count=len(made.answered.assessment.to_find)), "  "
        )
    text.say(catalog.key("cli.caution.load"))
    text.say(catalog.key("cli.demo.look"))
    for path in (made.packet, made.job_file, made.library):
        text.say(str(path), "  ")
