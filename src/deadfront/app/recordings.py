"""Recordings of a library's jobs: understood, kept by hash, reduced once, handed to every answer."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from deadfront import __version__
from deadfront.app.reductions import KIND, input_hash
from deadfront.errors import NotAllowed, NotFound
from deadfront.job.things import Recording
from deadfront.store.rows import AskedResult
from deadfront.store.trouble import guarded

if TYPE_CHECKING:
    from deadfront.app.library import Desk
    from deadfront.recordings.answer import Reduction
    from deadfront.recordings.guess import Guess
    from deadfront.recordings.mapping import Mapping as Columns
    from deadfront.recordings.recording import Recording as ReadRecording
    from deadfront.recordings.source import Progress, Stop
    from deadfront.store.library import Library

REMEMBERED = "recordings.mapping."
MEDIA = {"csv": "text/csv", "espi": "application/xml", "parquet": "application/vnd.apache.parquet"}
HEAD_BYTES = 1 << 16


@dataclass(frozen=True, slots=True)
class Understood:
    """What a file seems to be.

    Args:
        form: csv, parquet or espi.
        guess: What its columns seem to mean, with what must be asked; None where the file says so itself.
        remembered: Whether the mapping was said before for a file with the same heading.
    """

    form: str
    guess: Guess | None
    remembered: bool = False


def understood(library: Library | None, path: Path, zone: str = "") -> Understood:
    """What a recording file seems to mean; a mapping said before for the same heading is taken again.

    Raises:
        RecordingUnreadable: there is no time or no figure in it.
    """
    from dataclasses import replace

    from deadfront.recordings.guess import guess_mapping, guess_parquet
    from deadfront.recordings.mapping import mapping_from_json
    from deadfront.recordings.read import form_of

    with guarded(path), path.open("rb") as file:
        head = file.read(HEAD_BYTES)
        form = form_of(head)
        if form == "espi":
            return Understood(form, None)
        guess = guess_parquet(file, zone=zone) if form == "parquet" else guess_mapping(head, zone=zone)
    known = None if library is None else library.get_preference(REMEMBERED + fingerprint(guess.mapping))
    if known is None:
        return Understood(form, guess)
    mapping = mapping_from_json(known)
    mapping = replace(mapping, zone=zone or mapping.zone)
    return Understood(form, replace(guess, mapping=mapping, doubts=()), remembered=True)


def fingerprint(mapping: Columns) -> str:
    """Checksum of a table's heading: its column names in order, as guessed."""
    names = [str(column.at) for column in mapping.columns]
    return hashlib.sha256(json.dumps([names, mapping.separator]).encode()).hexdigest()


def add_recording(
    desk: Desk, job_id: str, base: int, path: Path, *, mapping: Columns | None = None,
    channels: Sequence[str] = (), measures: str | None = None, said: Mapping[str, Any] | None = None, who: str = "",
    progress: Progress | None = None, stop: Stop | None = None,
) -> int:  # fmt: skip
    """Register a file as a recording of a job: read, reduced, kept by hash; the new revision.

    Args:
        mapping: What its columns mean; None for ESPI, which says so itself.
        channels: Those to take: one, or two added together; left out where there is only one.
        measures: "both legs", "L1" or "L2".
        said: More fields of the recording: taken, occupied, season_load_va, power_factor, heavier_leg, name.
        progress: Called with the bytes read so far.
        stop: Asked at every chunk; true ends the reading, and nothing is kept.
    Raises:
        RecordingUnreadable, MappingUnclear, ReadingStopped: nothing is kept.
        EditRefused, StaleRevision: the job is as it was.
    """
    from deadfront.recordings.read import read

    with guarded(path), path.open("rb") as file:
        found = read(file, mapping, progress=progress, stop=stop)
    chosen = _channels(found, channels)
    reduction = _reduced(found, chosen)
    meant = None if found.mapping is None else found.mapping.to_json()
    fields = {
        "id": desk.fresh_id(job_id, "r"), "file": path.name[:400], "sha256": found.sha256, "form": found.form,
        "mapping": meant, "channels": list(chosen), "measures": measures, **(said or {}),
    }  # fmt: skip
    thing = {name: value for name, value in fields.items() if value is not None}
    keep(desk, job_id, Recording.model_validate(thing), reduction, path)
    if mapping is not None:
        desk.library.set_preference(REMEMBERED + fingerprint(mapping), mapping.to_json())
    edit = {"do": "add", "step": "before", "collection": "recordings", "thing": thing}
    return desk.apply(job_id, base, [edit], who)


def keep(desk: Desk, job_id: str, recording: Recording, reduction: Reduction, path: Path) -> None:
    """Keep the file of a recording by its hash, and what it comes to by what went into it.

    Raises:
        NotAllowed: the file was changed while it was read.
    """
    assert recording.sha256 is not None and recording.form is not None
    name = f"recording-{recording.sha256[:16]}"
    desk.library.attach_file(job_id, path, recording.sha256, MEDIA[recording.form], name)
    _store(desk, job_id, recording, reduction)


def _store(desk: Desk, job_id: str, recording: Recording, reduction: Reduction) -> None:
    from deadfront.results.recordings import reduction_to_json

    assert recording.sha256 is not None
    body = json.loads(json.dumps(reduction_to_json(reduction)))
    went_in = input_hash(recording.sha256, recording.mapping, recording.channels)
    desk.library.put_result(AskedResult(KIND, went_in, __version__, job_id, desk.clock(), body))


def reduce_again(
    desk: Desk, job_id: str, *, progress: Progress | None = None, stop: Stop | None = None
) -> tuple[str, ...]:
    """Reduce those recordings of a job again that are stale and whose file is kept; the ids of the rest."""
    from deadfront.recordings.mapping import mapping_from_json
    from deadfront.recordings.read import read

    opened, left = desk.open_job(job_id), []
    for each in opened.job.before.recordings:
        if each.id in opened.measured:
            continue
        try:
            file = desk.library.open_attachment(each.sha256 or "")
        except NotFound:
            left.append(each.id)
            continue
        mapping = None if each.mapping is None else mapping_from_json(each.mapping)
        with file:
            found = read(file, mapping, progress=progress, stop=stop)
        _store(desk, job_id, each, _reduced(found, _channels(found, each.channels)))
    return tuple(left)


def _channels(found: ReadRecording, wanted: Sequence[str]) -> tuple[str, ...]:
    """The channels to take.

    Raises:
        NotAllowed: several, and none was named; or more than two.
    """
    names = [channel.name for channel in found.channels]
    if len(wanted) > 2:
        raise NotAllowed("app.recording.two_channels", found=tuple(wanted))
    if not wanted and len(names) > 1:
        raise NotAllowed("app.recording.which_channel", allowed=tuple(names[:20]))
    return tuple(found.channel(name).name for name in wanted or names)


def _reduced(found: ReadRecording, channels: Sequence[str]) -> Reduction:
    from deadfront.recordings.quality import examine
    from deadfront.recordings.reduce import provenance_of, reduce, reduce_channel
    from deadfront.recordings.series import series_of, total

    if len(channels) == 1:
        return reduce_channel(found, channels[0])
    first, second = (series_of(found, found.channel(name)) for name in channels)
    series, report = examine(total(first, second))
    return reduce(series, report, provenance_of(found, *channels))
