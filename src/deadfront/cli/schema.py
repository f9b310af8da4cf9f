"""`deadfront schema`: the JSON Schemas, for other programs."""

from __future__ import annotations

import json

import click

from deadfront.cli.ending import Ending
from deadfront.cli.stream import put


@click.command("schema")
@click.argument("which", type=click.Choice(["job", "assess"]), default="job")
def schema_command(which: str) -> int:
    """Print the JSON Schema (draft 2020-12) of the job file's data, or of the output of `assess --json`.

    \b
    Examples:
      deadfront schema > job.schema.json
      deadfront schema assess > assess.schema.json

    Exit code: 0.
    """
    if which == "job":
        from deadfront.job.schema import job_schema_text

        put(job_schema_text(), end="")
    else:
        from deadfront.app.assess_json import assess_schema

        put(json.dumps(assess_schema(), indent=2, sort_keys=True))
    return Ending.OK
