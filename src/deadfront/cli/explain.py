"""`deadfront explain`: the help page of a check."""

from __future__ import annotations

from importlib import resources

import click

from deadfront.cli.ending import Ending
from deadfront.cli.stream import put


def help_ids() -> tuple[str, ...]:
    """Ids of all checks that have a help page."""
    folder = resources.files("deadfront").joinpath("help")
    return tuple(sorted(file.name.removesuffix(".md") for file in folder.iterdir() if file.name.endswith(".md")))


@click.command("explain")
@click.argument("check", required=False)
def explain_command(check: str | None) -> int:
    """Explain a finding: what it says, why it matters, how to end it, where it stands. Without CHECK: list them.

    \b
    Examples:
      deadfront explain
      deadfront explain load.service_carries

    Exit code: 0, 2 no such check.
    """
    if check is None:
        put("\n".join(help_ids()))
        return Ending.OK
    if check not in help_ids():
        raise click.BadParameter(f"there is no check {check!r}. There are: {', '.join(help_ids())}", param_hint="CHECK")
    put(resources.files("deadfront").joinpath("help").joinpath(f"{check}.md").read_text(encoding="utf-8"))
    return Ending.OK
