"""Recordings of a library's jobs: understood, kept by hash, reduced once, handed to every answer."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from deadfront import __version__
from deadfront.app.recording_drafts import REMEMBERED, draft_of, fingerprint
from deadfront.app.reducing import channels_to_take, reduced
from deadfront.app.reductions import KIND, input_hash
from deadfront.app.values import ids_in
from deadfront.errors import DeadfrontError, NotFound
from deadfront.job.edit import apply_edits, edit_from_dict
from deadfront.job.things import Recording
from deadfront.store.rows import AskedResult
from deadfront.store.trouble import StaleRevision, guarded

if TYPE_CHECKING:
    from deadfront.app.library import Desk, OpenJob
    from deadfront.recordings.answer import Reduction
    from deadfront.recordings.guess import Guess
    from deadfront.recordings.mapping import Mapping as Columns
    from deadfront.recordings.source import Progress, Stop
    from deadfront.store.library import Library

MEDIA = {"csv": "text/csv", "espi": "application/xml", "parquet": "application/vnd.apache.parquet"}
TRIES = 5


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

    found = draft_of(library, path, zone)
    if found.guess is None or found.remembered is None:
        return Understood(found.form, found.guess)
    return Understood(found.form, replace(found.guess, mapping=found.remembered, doubts=()), remembered=True)


def add_recording(
    desk: Desk, job_id: str, base: int | None, path: Path, *, mapping: Columns | None = None,
    channels: Sequence[str] = (), measures: str | None = None, said: Mapping[str, Any] | None = None, who: str = "",
    progress: Progress | None = None, stop: Stop | None = None,
) -> int:  # fmt: skip
    """Register a file as a recording of a job: read, reduced, kept by hash; the new revision.

    Args:
        base: The revision it is added to; None: whichever stands once the file is read.
        mapping: What its columns mean; None for ESPI, which says so itself.
        channels: Those to take: one, or two added together; left out where there is only one.
        measures: "both legs", "L1" or "L2".
        said: More fields of the recording: taken, occupied, season_load_va, power_factor, heavier_leg, name, file.
        progress: Called with the bytes read so far.
        stop: Asked at every chunk and before anything is kept; true ends the reading, and nothing is kept.
    Raises:
        RecordingUnreadable, MappingUnclear, ReadingStopped: nothing is kept.
        EditRefused, StaleRevision: the job is as it was.
    """
    from deadfront.recordings.read import read

    with guarded(path), path.open("rb") as file:
        found = read(file, mapping, progress=progress, stop=stop)
    chosen = channels_to_take(found, channels)
    _ask(stop, path.stat().st_size)
    reduction = reduced(found, chosen)
    meant = None if found.mapping is None else found.mapping.to_json()
    fields = {
        "id": desk.fresh_id(job_id, "r"), "file": path.name[:400], "sha256": found.sha256, "form": found.form,
        "mapping": meant, "channels": list(chosen), "measures": measures, **(said or {}),
    }  # fmt: skip
    thing = {name: value for name, value in fields.items() if value is not None}
    edit = {"do": "add", "step": "before", "collection": "recordings", "thing": thing}
    _refuse_early(desk, job_id, base, edit)
    _ask(stop, path.stat().st_size)
    keep(desk, job_id, Recording.model_validate(thing), reduction, path)
    revision = _applied(desk, job_id, base, edit, who)
    if mapping is not None:
        remember(desk.library, path, mapping)
    return revision


def remember(library: Library, path: Path, mapping: Columns) -> None:
    """Remember what the columns of a file mean, for the next file with the same heading."""
    try:
        table = draft_of(None, path).table
    except DeadfrontError:
        return  # a file that only its mapping makes readable has no heading to know it by
    if table is not None:
        library.set_preference(REMEMBERED + fingerprint(table), mapping.to_json())


def _ask(stop: Stop | None, bytes_read: int) -> None:
    """Whether to go on, once everything is read.

    Raises:
        ReadingStopped: the caller wants no more.
    """
    from deadfront.recordings.trouble import ReadingStopped

    if stop is not None and stop():
        raise ReadingStopped("recordings.stopped", bytes_read=bytes_read)


def _refuse_early(desk: Desk, job_id: str, base: int | None, edit: Mapping[str, Any]) -> None:
    """Refuse what could not be saved before its file is kept.

    Raises:
        EditRefused, StaleRevision: the job is as it was, and nothing is kept.
    """
    head = desk.library.head(job_id)
    if base is not None and base != head.number:
        desk.apply(job_id, base, [edit])  # which says why it cannot be
    used = desk.used_ids(job_id) - set(ids_in(head.json))
    apply_edits(head.text, [edit_from_dict(edit)], used_ids=used)


def _applied(desk: Desk, job_id: str, base: int | None, edit: Mapping[str, Any], who: str) -> int:
    """The edit made; with no base, on the revision that stands now: adding a recording clashes with no other edit."""
    for left in range(TRIES, 0, -1):
        try:
            return desk.apply(job_id, desk.library.job(job_id).revision if base is None else base, [edit], who)
        except StaleRevision:
            if base is not None or left == 1:
                raise
    raise AssertionError("a try returns or raises")


def keep(desk: Desk, job_id: str, recording: Recording, reduction: Reduction, path: Path) -> None:
    """Keep the file of a recording by its hash, and what it comes to by what went into it.

    Raises:
        NotAllowed: the file was changed while it was read.
    """
    assert recording.sha256 is not None and recording.form is not None
    name = f"recording-{recording.sha256[:16]}"
    desk.library.attach_file(job_id, path, recording.sha256, MEDIA[recording.form], name)
    store_figures(desk, job_id, recording, reduction)


def store_figures(desk: Desk, job_id: str, recording: Recording, reduction: Reduction) -> None:
    """Keep what a recording comes to, by what went into it."""
    from deadfront.results.recordings import reduction_to_json

    assert recording.sha256 is not None
    body = json.loads(json.dumps(reduction_to_json(reduction)))
    went_in = input_hash(recording.sha256, recording.mapping, recording.channels)
    desk.library.put_result(AskedResult(KIND, went_in, __version__, job_id, desk.clock(), body))


def to_reduce(opened: OpenJob) -> tuple[Recording, ...]:
    """The recordings of a job whose figures are not there, or not those of this version."""
    added = (each for step in opened.job.work for each in step.add.recordings)
    every = (*opened.job.before.recordings, *added)
    return tuple(each for each in every if each.sha256 is not None and each.id not in opened.measured)


def reduce_again(
    desk: Desk, job_id: str, *, progress: Progress | None = None, stop: Stop | None = None
) -> tuple[str, ...]:
    """Reduce those recordings of a job again that are stale and whose file is kept; the ids of the rest.

    Args:
        progress: Called with the bytes read so far, of all these files together.
        stop: Asked at every chunk; true ends it, and what was reduced until then stays.
    Raises:
        ReadingStopped: on request.
    """
    from deadfront.recordings.mapping import mapping_from_json
    from deadfront.recordings.read import read

    left, before = [], 0
    for each in to_reduce(desk.open_job(job_id)):
        try:
            file = desk.library.open_attachment(each.sha256 or "")
        except NotFound:
            left.append(each.id)
            continue
        mapping = None if each.mapping is None else mapping_from_json(each.mapping)
        with file:
            found = read(file, mapping, progress=_after(before, progress), stop=stop)
            before += file.seek(0, 2)
        reduction = reduced(found, channels_to_take(found, each.channels))
        _ask(stop, before)
        store_figures(desk, job_id, each, reduction)
    return tuple(left)


def _after(before: int, progress: Progress | None) -> Progress | None:
    """The same progress, with what was read of other files before it."""
    return None if progress is None else lambda done: progress(before + done)
