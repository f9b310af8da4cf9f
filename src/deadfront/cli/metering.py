"""`deadfront metering`: the metering channels, as a list or a file for a spreadsheet; the proof of a walk."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from deadfront.app.answers import Answered
from deadfront.app.clock import now
from deadfront.app.metering import channels, naming_file, walk_proof, walk_rows
from deadfront.app.walk_keeping import Offer, edits_of, keep_in_file, kept_text, offers
from deadfront.cli import jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import at_option, language_option, library_option, library_path, overlay_option
from deadfront.cli.put_file import put_file
from deadfront.documents.catalog import Catalog
from deadfront.documents.metering_sheets.naming import heads, naming_rows
from deadfront.results.metering import ChannelPlan
from deadfront.results.proof import ChannelVerdict
from deadfront.store.archive import as_text
from deadfront.store.trouble import guarded
from deadfront.worksheet.check import Outcome


@click.command("metering")
@click.argument("job")
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
              help="Write it to this file, .xlsx or .csv; an existing one is replaced. Left out: show it.")  # fmt: skip
@click.option("--steps", type=click.Path(path_type=Path, dir_okay=False, exists=True), metavar="FILE",
              help="Readings of load steps as CSV: say what they prove of each channel.")  # fmt: skip
@click.option("--keep", is_flag=True, help="With --steps: write into the job where each channel was found to sit.")
@at_option
@overlay_option
@language_option
@library_option
def metering_command(
    job: str, out: Path | None, steps: Path | None, keep: bool, at: str | None, overlay: Path | None,
    language: str | None, library: Path | None,
) -> int:  # fmt: skip
    """List the metering channels: input, circuit, role, leg, ratio, direction, doubling, stage.

    What is wrong with them, and what is still to find out, stands on the sheet "metering".
    What load steps decide otherwise than the plan is offered; with --keep it is written into the
    job: whose conductor, its leg, and a name that was the other circuit's.
    Columns of a file of steps: circuit, leg, watts, clamp_a, noise_w, channel, before_w, after_w,
    before_var, after_var, before_a, after_a; one row for each channel read, the circuit only in
    the first row of its step.

    \b
    Examples:
      deadfront metering elm.toml
      deadfront metering elm.toml -o elm-channels.csv
      deadfront metering elm.toml --steps walk.csv
      deadfront metering elm.toml --steps walk.csv --keep
      deadfront sheet elm.toml metering

    Exit code: 0 listed or written, and all steps right; 1 a channel proved wrong; 3 cannot tell;
    4 unreadable or not to be written; 5 another kind of file, or a row that is not understood.
    """
    if keep and steps is None:
        raise click.UsageError("--keep keeps what load steps found: give --steps too.")
    found, answered = jobs.answered(job, library, at=at, overlay=overlay)
    catalog = jobs.catalog_for(language, found.job)
    listed = channels(answered)
    if steps is not None:
        with guarded(steps):
            data = steps.read_bytes()
        verdicts = walk_proof(answered, walk_rows(as_text(data, steps.name)))
        ending = _proved(verdicts, catalog)
        _offered(found, answered, offers(answered, verdicts), catalog, library if keep else None, keep=keep)
        return ending
    if out is None:
        _show(listed, catalog)
        return Ending.OK
    data = naming_file(listed, catalog, out.suffix, on=now().date())
    put_file(out, data)
    text.say(catalog.key("cli.parts.written", path=str(out), count=len(listed)))
    return Ending.OK


def _show(listed: Sequence[ChannelPlan], catalog: Catalog) -> None:
    """The list, with the cautions that belong to it."""
    if not listed:
        text.say(catalog.key("cli.metering.none"))
        return
    text.table([heads(catalog), *naming_rows(listed, catalog)])
    text.say()
    for key in ("never_open", "zero", "not_revenue"):
        text.say(catalog.key(f"sheet.metering.{key}"))


def _offered(
    found: jobs.Opened, answered: Answered, offered: Sequence[Offer], catalog: Catalog, library: Path | None, *,
    keep: bool,
) -> None:  # fmt: skip
    """What can be kept of the walk; kept where that was asked for."""
    if not offered:
        if keep:
            text.say(catalog.key("proof.keep.nothing"))
        return
    if keep:
        _keep(found, answered, offered, library)
    text.heading(catalog.key("cli.metering.kept" if keep else "cli.metering.offered"))
    for each in offered:
        text.say(catalog.say(each.say), "  ", "      ")
    if not keep:
        text.say(catalog.key("cli.metering.how_to_keep"))


def _keep(found: jobs.Opened, answered: Answered, offered: Sequence[Offer], library: Path | None) -> None:
    """Into the job file, or as a revision of the library's job."""
    if found.revision is None:
        keep_in_file(Path(found.where), answered, offered)
        return
    from deadfront.app.library import Desk
    from deadfront.store.library import open_library

    with open_library(library_path(library)) as shelf:
        kept_text(shelf.head(found.where).text, answered, offered)
        Desk(shelf).apply(found.where, found.revision, edits_of(offered))


def _proved(verdicts: Sequence[ChannelVerdict], catalog: Catalog) -> int:
    """Each verdict with its next test; the worst of them is the exit code."""
    text.say(catalog.key("sheet.metering.never_open"))
    text.say(catalog.key("sheet.metering.zero"))
    text.heading(catalog.key("cli.metering.verdicts"))
    for each in verdicts:
        text.say(f"{catalog.outcome(each.outcome)}: {catalog.say(each.say)}", "  ", "      ")
        if each.test is not None:
            text.say(catalog.say(each.test), "      ", "      ")
    outcomes = {each.outcome for each in verdicts}
    if Outcome.FAILS in outcomes:
        return Ending.TO_CORRECT
    return Ending.CANNOT_TELL if Outcome.CANNOT_TELL in outcomes else Ending.OK
