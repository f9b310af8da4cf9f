"""Recordings of a job that is a file, a folder or a zip: they lie beside it and are reduced whenever it is read."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from deadfront.app import reducing
from deadfront.errors import DeadfrontError, NotFound
from deadfront.job.model import Job
from deadfront.job.things import Recording
from deadfront.msg import Msg, said
from deadfront.recordings.answer import Reduction
from deadfront.store import archive
from deadfront.store.trouble import guarded

if TYPE_CHECKING:
    from deadfront.recordings.source import Progress

MEDIA = {"csv": "text/csv", "espi": "application/xml", "parquet": "application/vnd.apache.parquet"}


@dataclass(frozen=True, slots=True)
class Beside:
    """What the recordings of a job come to.

    Args:
        measured: By the id of the recording.
        unread: Why one could not be reduced, by its id; in words that follow its name.
    """

    measured: Mapping[str, Reduction] = field(default_factory=dict)
    unread: Mapping[str, Msg] = field(default_factory=dict)


def recordings_of(job: Job) -> tuple[Recording, ...]:
    """Every recording that a job registers, found there or added by a step of the work."""
    return (*job.before.recordings, *(each for step in job.work for each in step.add.recordings))


def reduced_beside(job: Job, path: Path) -> Beside:
    """What the recordings of a job file come to, each read anew from its file and held against its checksum."""
    measured: dict[str, Reduction] = {}
    unread: dict[str, Msg] = {}
    for each in recordings_of(job):
        if each.sha256 is None:
            continue
        name = each.file or each.id
        try:
            found = _one(path, each)
        except NotFound:
            unread[each.id] = said("load.may.measured_file_missing", file=name)
        except DeadfrontError as error:
            unread[each.id] = said("load.may.measured_file_unreadable", file=name, why=error.msg)
        else:
            if isinstance(found, Reduction):
                measured[each.id] = found
            else:
                unread[each.id] = found
    return Beside(measured, unread)


def _one(path: Path, recording: Recording) -> Reduction | Msg:
    """A recording reduced; or why not, where its file is there and still not the one."""
    if not reducing.can_read():
        return said("load.may.measured_no_extra", command=reducing.INSTALL)
    with opened_beside(path, recording) as file:
        if _checksum(file) != recording.sha256:
            return said("load.may.measured_file_changed", file=recording.file or recording.id)
        return reduced_from(file, recording)


def _checksum(file: BinaryIO) -> str:
    made = hashlib.sha256()
    while chunk := file.read(1 << 20):
        made.update(chunk)
    return made.hexdigest()


def reduced_from(file: BinaryIO, recording: Recording, progress: Progress | None = None) -> Reduction:
    """A recording reduced from its open file as it was registered.

    Raises:
        RecordingUnreadable, MappingUnclear, NotAllowed: the file does not hold what was registered.
    """
    from deadfront.recordings.mapping import mapping_from_json
    from deadfront.recordings.read import read

    mapping = None if recording.mapping is None else mapping_from_json(recording.mapping)
    found = read(file, mapping, progress=progress)
    return reducing.reduced(found, reducing.channels_to_take(found, recording.channels))


def attached_name(sha256: str, form: str) -> str:
    """The name of a recording among the attachments of a folder or a zip."""
    return f"{archive.FOLDER}recording-{sha256[:16]}.{archive.ENDING[MEDIA[form]]}"


def _names(recording: Recording) -> Iterator[str]:
    """Where a recording may lie inside a folder or a zip."""
    if recording.sha256 and recording.form:
        yield attached_name(recording.sha256, recording.form)
    if recording.file:
        archive.check_name(recording.file)
        yield archive.FOLDER + recording.file
        yield recording.file


@contextmanager
def opened_beside(path: Path, recording: Recording) -> Iterator[BinaryIO]:
    """The file of a recording: beside a job file, among the attachments of a folder or a zip.

    Raises:
        NotFound: it is not there.
        UnsafeFile: its name leads elsewhere.
    """
    with guarded(path):
        if path.suffix.lower() == ".zip" and path.is_file():
            with closing(archive.ZipFiles(path)) as files:
                name = next((each for each in _names(recording) if each in files.sizes), "")
                data = files.read(name)
            yield BytesIO(data)
            return
        places = _places(path, recording)
        found = next((each for each in places if each.is_file()), None)
        if found is None:
            raise NotFound("app.recording.not_beside", file=recording.file or recording.id, job=path.name)
        with found.open("rb") as file:
            yield file


def _places(path: Path, recording: Recording) -> Sequence[Path]:
    if path.is_dir():
        return [path / name for name in _names(recording)]
    if not recording.file:
        return []
    archive.check_name(recording.file)
    return [path.parent / recording.file]


def fields_of(
    ident: str, file: str, found: Any, channels: Sequence[str], measures: str | None, said_of: Mapping[str, Any]
) -> dict[str, Any]:
    """The fields of a recording as registered, those not known left out."""
    meant = None if found.mapping is None else found.mapping.to_json()
    fields = {
        "id": ident, "file": file, "sha256": found.sha256, "form": found.form, "mapping": meant,
        "channels": list(channels), "measures": measures, **said_of,
    }  # fmt: skip
    return {name: value for name, value in fields.items() if value is not None}
