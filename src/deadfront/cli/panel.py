"""`deadfront panel`: where the breakers stand and whether that is right; on request the fewest moves to even legs."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.cli import jobs, panel_search, panel_text, text
from deadfront.cli.answer_text import cautions
from deadfront.cli.options import at_option, language_option, library_option, overlay_option
from deadfront.errors import NotFound
from deadfront.results.panel import PanelResult


@click.command("panel")
@click.argument("job")
@click.argument("panel", required=False)
@click.option("--solve", is_flag=True, help="Find the fewest moves that even the legs; needs the extra solve.")
@click.option(
    "--limit",
    type=click.FloatRange(0.1, 100),
    metavar="AMPERES",
    help="Legs within so many amperes: print the moves in order. Left out: 10 % of the main.",
)
@click.option(
    "--seconds",
    type=click.FloatRange(0.5, 600),
    default=10.0,
    show_default=True,
    help="Most time for each point of the curve.",
)
@at_option
@overlay_option
@language_option
@library_option
def panel_command(
    job: str, panel: str | None, solve: bool, limit: float | None, seconds: float, at: str | None,
    overlay: Path | None, language: str | None, library: Path | None,
) -> int:  # fmt: skip
    """Judge the layout of a panel: breakers, spaces, legs, neutral; find a better one.

    PANEL is the id or the name of a panel; left out: every panel of the job. Legs within 10 percent of the main are
    left as found. Ctrl-C ends a search; what was found until then is shown.

    \b
    Examples:
      deadfront panel elm.toml
      deadfront panel elm.toml --at before           the panel as found
      deadfront panel elm.toml --solve               the fewest moves for legs within 10, 5, 3, 2 and 1 A
      deadfront panel elm.toml --solve --limit 5     the moves in order, legs within 5 A

    Exit code: 0 nothing to correct, 1 something to correct, 3 it cannot be told yet, 4 unreadable, no such panel.
    """
    found, answered = jobs.answered(job, library, at=at, overlay=overlay)
    catalog = jobs.catalog_for(language, found.job)
    results = chosen(answered.assessment.panels, panel)
    for result in results:
        panel_text.judged(result, catalog)
        if solve and result.case is not None:
            panel_search.searched(answered, result, catalog, limit, seconds)
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
