"""`deadfront issue`: sign a revision, once nothing bars it."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.app.answers import answer, sign
from deadfront.cli import answer_text, jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import language_option, library_option, library_path, overlay_option


@click.command("issue")
@click.argument("job")
@click.option("--signer", required=True, help="The license holder's name.")
@click.option("--license", "license_number", required=True, help="The license number.")
@click.option("--revision", type=click.IntRange(1), required=True, help="The revision you looked at.")
@overlay_option
@language_option
@library_option
def issue_command(
    job: str, signer: str, license_number: str, revision: int, overlay: Path | None, language: str | None,
    library: Path | None,
) -> int:  # fmt: skip
    """Sign a revision of a job of the library: freeze it with its code book, engine and every answer.

    Refused while anything bars a signature: a finding to correct, a fact missing, an assumption. Signing is the license
    holder's act; the authority having jurisdiction decides.

    \b
    Examples:
      deadfront issue j-k3m7 --signer "R. Alvarez" --license ME-1042 --revision 7

    Exit code: 0 signed, 1 something to correct first, 3 facts missing first, 5 another revision is current.
    """
    from deadfront.app.library import Desk
    from deadfront.app.signing import NotSignable
    from deadfront.store.library import open_library

    with open_library(library_path(library)) as shelf:
        desk = Desk(shelf)
        found = desk.open_job(job)
        catalog = jobs.catalog_for(language, found.job)
        confirmed = jobs.overlay_of(overlay)
        try:
            record = sign(
                desk, job, revision, signer=signer, license=license_number, overlay=confirmed,
                language=catalog.language,
            )  # fmt: skip
        except NotSignable:
            answered = answer(found.job, confirmed, measured=found.measured)
            text.say(catalog.key("cli.issue.barred"))
            answer_text.problems(found.problems, job, catalog)
            answer_text.answer_lines(answered, catalog)
            return Ending.TO_CORRECT if found.problems else answer_text.ending(answered)
    text.say(catalog.key("cli.issue.done", job=job, revision=revision, who=signer, digest=record.result_digest[:12]))
    return Ending.OK
