"""`deadfront record`: a recording of demand into a job of the library, read, reduced and told."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from deadfront.cli import jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import language_option, library_option, library_path
from deadfront.cli.stream import put, speaks_unicode, warn
from deadfront.documents.catalog import Catalog
from deadfront.errors import JobUnreadable, NotAllowed
from deadfront.store.trouble import guarded

if TYPE_CHECKING:
    from deadfront.app.recordings import Understood
    from deadfront.recordings.mapping import Mapping

Yes = click.Choice(["yes", "no"])


@click.command("record")
@click.argument("job")
@click.argument("file", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--measures", type=click.Choice(["both legs", "L1", "L2"]), help="Conductors it was taken from.")
@click.option("--taken", type=click.Choice(["utility", "recorder"]), help="By whom. Utility data are of both legs.")
@click.option("--occupied", type=Yes, help="Whether the house was lived in as usual the whole time.")
@click.option("--heavier-leg", type=Yes, help="Whether this leg was found to be the heavier one.")
@click.option("--season-va", type=click.FloatRange(0, 1_000_000), metavar="VA",
              help="Load of the season not recorded, by measurement or calculation; 0: none.")  # fmt: skip
@click.option("--power-factor", type=click.FloatRange(0, 1, min_open=True), help="At the peak, only if measured.")
@click.option("--zone", default="", metavar="ZONE", help="Place of the house for its clock, as in America/Denver.")
@click.option("--mapping", type=click.Path(path_type=Path, exists=True, dir_okay=False), metavar="JSON",
              help="What the columns mean, as --show prints it.")  # fmt: skip
@click.option("--channel", "channels", multiple=True, help="Channel to take; twice: the two are added.")
@click.option("--name", help="What to call it.")
@click.option("--show", is_flag=True, help="Only say what was understood and print the mapping.")
@language_option
@library_option
def record_command(
    job: str, file: Path, measures: str | None, taken: str | None, occupied: str | None, heavier_leg: str | None,
    season_va: float | None, power_factor: float | None, zone: str, mapping: Path | None, channels: tuple[str, ...],
    name: str | None, show: bool, language: str | None, library: Path | None,
) -> int:  # fmt: skip
    """Add a recording of demand to a job of the library.

    FILE is CSV, Parquet or ESPI (the utility's interval data as XML). What it seems to mean is said first; what the
    file cannot settle is asked, never assumed. The file is kept by its checksum, and reduced once to its largest
    quarter hour, its quality and its coverage.

    \b
    Examples:
      deadfront record j-k3m7 usage.xml --measures "both legs" --taken utility
      deadfront record j-k3m7 usage.csv --zone America/Denver --show > usage.json
      deadfront record j-k3m7 usage.csv --mapping usage.json --measures L1

    Exit code: 0 added, 3 the file leaves something open, 4 unreadable, 5 refused, 130 stopped.
    """
    from deadfront.app.library import Desk
    from deadfront.app.recordings import add_recording, understood
    from deadfront.store.library import open_library

    if not jobs.JOB_ID.fullmatch(job):
        raise NotAllowed("app.recording.needs_library", job=job)
    more: dict[str, Any] = {
        "taken": taken, "occupied": _yes(occupied), "heavier_leg": _yes(heavier_leg), "name": name,
        "season_load_va": _decimal(season_va), "power_factor": _decimal(power_factor),
    }  # fmt: skip
    if taken == "utility" and measures is None:
        measures = "both legs"
    with open_library(library_path(library)) as shelf:
        desk = Desk(shelf)
        opened = desk.open_job(job)
        catalog = jobs.catalog_for(language, opened.job)
        found = understood(shelf, file, zone)
        columns = _mapping(found, mapping, zone)
        open_questions = _told(found, file, catalog, asked=mapping is None)
        if show:
            put(json.dumps(None if columns is None else columns.to_json(), indent=2, ensure_ascii=not speaks_unicode()))
            return Ending.OK
        if columns is not None and columns.open_questions():
            _note(catalog.key("app.recording.unclear", count=open_questions))
            return Ending.CANNOT_TELL
        revision = add_recording(
            desk, job, opened.revision, file, mapping=columns, channels=channels, measures=measures, said=more,
            progress=_progress(file.stat().st_size, catalog),
        )  # fmt: skip
        after = desk.open_job(job)
        added = after.job.before.recordings[-1]
        reduction = after.measured[added.id]
    coverage, peak = reduction.coverage, said_peak(reduction, catalog)
    told = {"days": int(coverage.span_days), "share": int(coverage.share * 100), "peak": peak}
    text.say(catalog.key("app.recording.added", file=file.name, id=added.id, revision=revision, **told))
    return Ending.OK


def said_peak(reduction: Any, catalog: Catalog) -> str:
    """The largest quarter hour on the clock in words; none where no quarter hour is whole."""
    from deadfront.loads.rules.measured_figures import demand_interval

    if reduction.demand is None:
        return catalog.key("measured.none_left")
    return catalog.quantity(demand_interval(reduction.demand.block), reduction.unit)


def _note(words: str) -> None:
    """Words about the file go to standard error, so that --show can be sent to a file."""
    warn(words)


def _yes(word: str | None) -> bool | None:
    return None if word is None else word == "yes"


def _decimal(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(repr(value))


def _mapping(found: Understood, path: Path | None, zone: str) -> Mapping | None:
    """What the columns mean: as the file of a mapping says, else as understood."""
    from deadfront.recordings.mapping import mapping_from_json

    if path is None:
        return None if found.guess is None else found.guess.mapping
    with guarded(path):
        written = path.read_bytes()
    try:
        data = json.loads(written)
    except ValueError as error:
        raise JobUnreadable("app.recording.mapping", file=path.name, found=str(error)) from error
    if not isinstance(data, dict):
        raise JobUnreadable("app.recording.mapping", file=path.name, found=str(data)[:40])
    mapping = mapping_from_json(data)
    return replace(mapping, zone=zone) if zone else mapping


def _told(found: Understood, file: Path, catalog: Catalog, *, asked: bool) -> int:
    """Say on standard error what was understood and what is asked; how many questions must be answered."""
    _note(catalog.key("app.recording.understood", file=file.name, form=found.form))
    if found.guess is None:
        return 0
    for each in found.guess.understood:
        _note("  " + catalog.say(each))
    doubts = found.guess.doubts if asked else ()
    for doubt in doubts:
        _note("? " + catalog.say(doubt.say) + (f" ({', '.join(doubt.options)})" if doubt.options else ""))
    return sum(doubt.must for doubt in doubts)


def _progress(size: int, catalog: Catalog) -> Callable[[int], None] | None:
    """Tells the share read, in steps of ten, for a file that takes a while."""
    if size < 20_000_000:
        return None
    told = [0]

    def tell(count: int) -> None:
        percent = int(count * 10 / size) * 10
        if percent > told[0]:
            told[0] = percent
            _note(catalog.key("app.recording.reading", percent=percent))

    return tell
