"""`deadfront record`: a recording of demand into a job, read, reduced and told."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from deadfront.cli import jobs, text
from deadfront.cli import recording_text as words
from deadfront.cli.ending import Ending
from deadfront.cli.options import language_option, library_option, library_path
from deadfront.cli.stream import put, speaks_unicode, warn
from deadfront.documents.catalog import Catalog
from deadfront.errors import NotFound

if TYPE_CHECKING:
    from deadfront.recordings.answer import Reduction
    from deadfront.recordings.mapping import Mapping
    from deadfront.store.library import Library

Yes = click.Choice(["yes", "no"])
Load = click.FloatRange(0, 1_000_000)


@click.command("record")
@click.argument("job")
@click.argument("file", required=False, type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--measures", type=click.Choice(["both legs", "L1", "L2"]), help="Conductors it was taken from.")
@click.option("--taken", type=click.Choice(["utility", "recorder"]), help="By whom. Utility data are of both legs.")
@click.option("--occupied", type=Yes, help="Whether the house was lived in as usual the whole time.")
@click.option("--whole-service", type=Yes, help="Whether it holds every meter; asked where there are several.")
@click.option("--heavier-leg", type=Yes, help="Whether this leg was found to be the heavier one.")
@click.option("--season-va", type=Load, metavar="VA",
              help="Load of the season not recorded, by measurement or calculation; 0: none.")  # fmt: skip
@click.option("--added-since-va", type=Load, metavar="VA",
              help="Load connected after the recording ended and before this work; 0: none.")  # fmt: skip
@click.option("--power-factor", type=click.FloatRange(0, 1, min_open=True), help="At the peak, only if measured.")
@click.option("--zone", default="", metavar="ZONE", help="Place of the house for its clock, as in America/Denver.")
@click.option("--mapping", type=click.Path(path_type=Path, exists=True, dir_okay=False), metavar="JSON",
              help="What the columns mean, as --show prints it.")  # fmt: skip
@click.option("--channel", "channels", multiple=True, help="Channel to take; twice: the two are added.")
@click.option("--name", help="What to call it.")
@click.option("--show", is_flag=True, help="Only say what was understood and print the mapping.")
@click.option("--again", is_flag=True, help="Reduce the recordings the job has once more; no FILE.")
@language_option
@library_option
def record_command(
    job: str, file: Path | None, measures: str | None, taken: str | None, occupied: str | None,
    whole_service: str | None, heavier_leg: str | None, season_va: float | None, added_since_va: float | None,
    power_factor: float | None, zone: str, mapping: Path | None, channels: tuple[str, ...], name: str | None,
    show: bool, again: bool, language: str | None, library: Path | None,
) -> int:  # fmt: skip
    """Add a recording of demand to a job, or reduce those it has again.

    JOB is a job file (.toml), a folder, or the id of a job in the library. FILE is CSV, Parquet or ESPI (the utility's
    interval data as XML). What it seems to mean is said first; what the file cannot settle is asked, never assumed.

    A job file keeps the name and the checksum of FILE, which stays beside it (a copy is put there where it lies
    elsewhere) and is read whenever the job is; a library keeps FILE itself and what it came to.

    \b
    Examples:
      deadfront record elm.toml usage.csv --zone America/Denver --taken utility
      deadfront record elm.toml usage.csv --zone America/Denver --show > usage.json
      deadfront record elm.toml usage.csv --mapping usage.json --measures L1
      deadfront record j-k3m7 usage.xml --measures "both legs" --taken utility
      deadfront record j-k3m7 --again                    after a new version of the program

    Exit code: 0 added or reduced, 2 wrong use, 3 something is left open, 4 unreadable, 5 refused, 130 stopped.
    """
    from deadfront.app.reducing import require_reading

    if (file is None) is not again:
        raise click.UsageError("Give FILE, or --again without one.")
    require_reading()
    said: dict[str, Any] = {
        "taken": taken, "occupied": words.yes(occupied), "heavier_leg": words.yes(heavier_leg), "name": name,
        "whole_service": words.yes(whole_service),
        "season_load_va": words.decimal(season_va), "added_since_va": words.decimal(added_since_va),
        "power_factor": words.decimal(power_factor),
    }  # fmt: skip
    if taken == "utility" and measures is None:
        measures = "both legs"
    path = None if jobs.JOB_ID.fullmatch(job) and not Path(job).exists() else Path(job)
    if path is not None and not path.exists():
        raise NotFound("cli.no_job", where=job)
    if file is None:
        return _again_in_library(job, language, library) if path is None else _again_beside(path, language)
    asked = _Asked(file, zone, mapping, channels, measures, said, show)
    return _into_library(job, asked, language, library) if path is None else _beside(path, asked, language)


class _Asked:
    """What was asked of a file on the command line."""

    def __init__(self, file: Path, zone: str, mapping: Path | None, channels: tuple[str, ...], measures: str | None,
                 said: dict[str, Any], show: bool) -> None:  # fmt: skip
        self.file, self.zone, self.mapping, self.channels = file, zone, mapping, channels
        self.measures, self.said, self.show = measures, said, show

    def columns(self, shelf: Library | None, catalog: Catalog) -> tuple[Mapping | None, Ending | None]:
        """What its columns mean; and how the command ends here, where it goes no further."""
        from deadfront.app.recordings import understood

        found = understood(shelf, self.file, self.zone)
        columns = words.mapping_of(found, self.mapping, self.zone)
        questions = words.told(found, self.file, catalog, asked=self.mapping is None)
        if self.show:
            data = None if columns is None else columns.to_json()
            put(json.dumps(data, indent=2, ensure_ascii=not speaks_unicode()))
            return columns, Ending.OK
        if columns is not None and columns.open_questions():
            warn(catalog.key("app.recording.unclear", count=questions))
            return columns, Ending.CANNOT_TELL
        return columns, None


def _told(reduction: Reduction, catalog: Catalog) -> dict[str, object]:
    """The figures of a recording for a sentence."""
    coverage = reduction.coverage
    peak = words.said_peak(reduction, catalog)
    return {"days": int(coverage.span_days), "share": int(coverage.share * 100), "peak": peak}


def _into_library(job: str, asked: _Asked, language: str | None, library: Path | None) -> int:
    from deadfront.app.library import Desk
    from deadfront.app.recordings import add_recording
    from deadfront.store.library import open_library

    with open_library(library_path(library)) as shelf:
        desk = Desk(shelf)
        opened = desk.open_job(job)
        catalog = jobs.catalog_for(language, opened.job)
        columns, ending = asked.columns(shelf, catalog)
        if ending is not None:
            return ending
        revision = add_recording(
            desk, job, opened.revision, asked.file, mapping=columns, channels=asked.channels, measures=asked.measures,
            said=asked.said, progress=words.progress_of(asked.file.stat().st_size, catalog),
        )  # fmt: skip
        after = desk.open_job(job)
        added = after.job.before.recordings[-1]
        told = _told(after.measured[added.id], catalog)
    text.say(catalog.key("app.recording.added", file=asked.file.name, id=added.id, revision=revision, **told))
    return Ending.OK


def _beside(path: Path, asked: _Asked, language: str | None) -> int:
    from deadfront.app.record_beside import record_beside

    catalog = jobs.catalog_for(language, jobs.opened(str(path), reduce=False).job)
    columns, ending = asked.columns(None, catalog)
    if ending is not None:
        return ending
    found = record_beside(
        path, asked.file, mapping=columns, channels=asked.channels, measures=asked.measures,
        said=_known(asked.said), progress=words.progress_of(asked.file.stat().st_size, catalog),
    )  # fmt: skip
    told = _told(found.reduction, catalog)
    text.say(catalog.key("app.recording.registered", file=found.file, job=path.name, id=found.id, **told))
    return Ending.OK


def _known(said: dict[str, Any]) -> dict[str, Any]:
    """What was said, numbers as a job file writes them."""
    return {key: _plain(value) for key, value in said.items() if value is not None}


def _plain(value: Any) -> Any:
    if not isinstance(value, Decimal):
        return value
    return int(value) if value == value.to_integral_value() else float(value)


def _again_in_library(job: str, language: str | None, library: Path | None) -> int:
    """Reduce what is stale from the files the library keeps; what is kept nowhere is named."""
    from deadfront.app.library import Desk
    from deadfront.app.recordings import reduce_again
    from deadfront.store.library import open_library

    with open_library(library_path(library)) as shelf:
        desk = Desk(shelf)
        before = desk.open_job(job)
        catalog = jobs.catalog_for(language, before.job)
        left = reduce_again(desk, job)
        after = desk.open_job(job)
    done = len(set(after.measured) - set(before.measured))
    text.say(catalog.key("app.recording.again", count=done))
    for ident in left:
        warn(catalog.key("app.recording.not_kept", id=ident))
    return Ending.CANNOT_TELL if left else Ending.OK


def _again_beside(path: Path, language: str | None) -> int:
    """A job file keeps no figures: its recordings are read whenever it is, so say what they come to now."""
    found = jobs.opened(str(path))
    catalog = jobs.catalog_for(language, found.job)
    text.say(catalog.key("app.recording.again", count=len(found.measured)))
    for ident, why in found.unread.items():
        warn(f"{ident}: {catalog.say(why)}")
    return Ending.CANNOT_TELL if found.unread else Ending.OK
