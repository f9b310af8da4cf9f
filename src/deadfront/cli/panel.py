"""`deadfront panel`: where the breakers stand and whether that is right; on request the fewest moves to even legs."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.cli import jobs, panel_text, text
from deadfront.cli.answer_text import cautions
from deadfront.cli.options import at_option, language_option, library_option, overlay_option
from deadfront.errors import NotFound
from deadfront.results.panel import PanelResult


@click.command("panel")
@click.argument("job")
@click.argument("panel", required=False)
@at_option
@overlay_option
@language_option
@library_option
def panel_command(
    job: str, panel: str | None, at: str | None, overlay: Path | None, language: str | None, library: Path | None
) -> int:
    """Judge the layout of a panel: breakers, spaces, legs, neutral.

    PANEL is the id or the name of a panel; left out: every panel of the job.

    \b
    Examples:
      deadfront panel elm.toml
      deadfront panel elm.toml --at before           the panel as found

    Exit code: 0 nothing to correct, 1 something to correct, 3 it cannot be told yet, 4 unreadable, no such panel.
    """
    found, answered = jobs.answered(job, library, at=at, overlay=overlay)
    catalog = jobs.catalog_for(language, found.job)
    results = chosen(answered.assessment.panels, panel)
    for result in results:
        panel_text.judged(result, catalog)
    text.say()
    for line in cautions(catalog):
        text.say(line)
    return panel_text.ending(results)


def chosen(panels: tuple[PanelResult, ...], wanted: str | None) -> tuple[PanelResult, ...]:
    """The panel that was named, or all.

    Raises:
        NotFound: no such panel, or none at all.
    """
    if not panels:
        raise NotFound("cli.panel.no_panels")
    if wanted is None:
        return panels
    found = tuple(each for each in panels if wanted in (each.id, each.name.params.get("name")))
    if not found:
        raise NotFound("cli.panel.no_panel", found=wanted, allowed=tuple(each.id for each in panels))
    return found
