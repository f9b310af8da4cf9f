"""`deadfront assess`: the answer of a job, as text or JSON."""

from __future__ import annotations

import json
from pathlib import Path

import click

from deadfront.assess import context_of
from deadfront.cli import answer_text, jobs
from deadfront.cli.options import at_option, edition_option, language_option, library_option, overlay_option
from deadfront.cli.stream import put, speaks_unicode
from deadfront.loads.rules.matters import load_shares


@click.command("assess")
@click.argument("job")
@click.option("--json", "as_json", is_flag=True, help="Print data instead of words (docs/reference/assess-json.md).")
@click.option("--matters", is_flag=True, help="Also how much each load adds to the method relied on.")
@at_option
@edition_option
@overlay_option
@language_option
@library_option
def assess_command(
    job: str, as_json: bool, matters: bool, at: str | None, edition: str | None, overlay: Path | None,
    language: str | None, library: Path | None,
) -> int:  # fmt: skip
    """Answer: does the service carry it, and what is still to find out?

    JOB is a job file (.toml, .zip, a folder) or the id of a job in the library. The answer stands first; then every
    method side by side, the service by its parts, the findings, and what is still to find out, the most useful first.

    \b
    Examples:
      deadfront assess elm.toml
      deadfront assess elm.toml --at before          the house as found
      deadfront assess elm.toml --edition 2026       the same under another edition
      deadfront assess elm.toml --matters            which load matters most
      deadfront assess elm.toml --json > elm.json

    Exit code: 0 meets, 1 something to correct, 3 cannot tell yet or part of the file was not understood, 4 unreadable,
    5 not encoded.
    """
    found, answered = jobs.answered(job, library, edition=edition, at=at, overlay=overlay)
    catalog = jobs.catalog_for(language, found.job)
    relied, share = answered.assessment.load.relied, None
    if matters:
        context = context_of(found.job, answered.assessment.book, at, found.measured)
        share = load_shares(context, relied) if relied else ()
    if as_json:
        from deadfront.app.assess_json import told

        data = told(answered, catalog, revision=found.revision, problems=found.problems, shares=share,
                    cautions=answer_text.cautions(catalog))  # fmt: skip
        put(json.dumps(data, indent=2, ensure_ascii=not speaks_unicode()))
    else:
        answer_text.whole(answered, catalog, where=found.where, found=found.problems, share=share)
    return answer_text.ending(answered, found.problems)
