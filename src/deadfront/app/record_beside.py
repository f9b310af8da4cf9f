"""Registering a recording in a job file or folder: its bytes beside the job, the job's text edited in place."""

from __future__ import annotations

import hashlib
import json
import secrets
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from deadfront.app import reducing
from deadfront.app.beside import MEDIA, attached_name, fields_of, recordings_of
from deadfront.app.values import ids_in, plain
from deadfront.errors import JobUnreadable, NotAllowed, UnsafeFile
from deadfront.job.edit import apply_edits, edit_from_dict
from deadfront.job.ids import new_id
from deadfront.job.read import read_job
from deadfront.recordings.answer import Reduction
from deadfront.store import archive
from deadfront.store.files import replace_file
from deadfront.store.trouble import guarded

if TYPE_CHECKING:
    from deadfront.recordings.mapping import Mapping as Columns
    from deadfront.recordings.source import Progress


@dataclass(frozen=True, slots=True)
class Registered:
    """A recording as it stands in the job now.

    Args:
        id: Its id.
        file: Its name beside the job.
        reduction: What it comes to.
    """

    id: str
    file: str
    reduction: Reduction


def record_beside(
    path: Path, file: Path, *, mapping: Columns | None = None, channels: Sequence[str] = (),
    measures: str | None = None, said: Mapping[str, Any] | None = None, progress: Progress | None = None,
) -> Registered:  # fmt: skip
    """Read and reduce a recording, put it beside a job file, and register it there; comments in the job survive.

    Args:
        path: A job file (.toml) or a folder.
        file: The recording; one that lies elsewhere is copied beside the job.
        mapping: What its columns mean; None for ESPI, which says so itself.
        channels: Those to take: one, or two added together; left out where there is only one.
        measures: "both legs", "L1" or "L2".
        said: More fields of the recording.
    Raises:
        NotAllowed: a zip, a recording that is there already, another file of that name, a job changed meanwhile.
        RecordingUnreadable, MappingUnclear, EditRefused: nothing is written.
    """
    from deadfront.recordings.read import read

    job_file = _job_file(path)
    text = _text_of(path, job_file)
    job = read_job(text, file=job_file.name).job
    with guarded(file), file.open("rb") as opened:
        found = read(opened, mapping, progress=progress)
    chosen = reducing.channels_to_take(found, channels)
    for each in recordings_of(job):
        if each.sha256 == found.sha256 and tuple(each.channels) == chosen and each.measures == measures:
            raise NotAllowed("app.recording.already", file=file.name, id=each.id)
    reduction = reducing.reduced(found, chosen)
    ident = new_id("r", set(ids_in(plain(job))), secrets.SystemRandom())
    thing = fields_of(ident, file.name, found, chosen, measures, said or {})
    edit = edit_from_dict({"do": "add", "step": "before", "collection": "recordings", "thing": thing})
    after = apply_edits(text, [edit], file=job_file.name).text
    target = path / attached_name(found.sha256, found.form) if path.is_dir() else path.parent / file.name
    _put_beside(file, target, found.sha256)
    _write(job_file, text, after)
    if path.is_dir():
        _list_again(path, target, found.form)
    return Registered(ident, target.name, reduction)


def _job_file(path: Path) -> Path:
    """The text of a job inside the path that names it.

    Raises:
        NotAllowed: a zip, which is not changed in place.
        JobUnreadable: neither a job file nor a folder.
    """
    if path.is_dir():
        return path / archive.JOB
    if path.suffix.lower() == ".zip":
        raise NotAllowed("app.recording.zip", job=path.name)
    if path.suffix.lower() != ".toml":
        raise JobUnreadable("app.import.ending", path=str(path), found=path.suffix)
    return path


def _text_of(path: Path, job_file: Path) -> str:
    """The job's text; in a folder only where every listed hash still fits."""
    with guarded(job_file):
        if not path.is_dir():
            if (size := job_file.stat().st_size) > archive.MAX_TEXT_BYTES:
                name, most = job_file.name, archive.MAX_TEXT_BYTES
                raise UnsafeFile("store.archive.text_size", name=name, found=size, allowed=most)
            return archive.as_text(job_file.read_bytes(), job_file.name)
        files = archive.folder_files(path)
        listed = archive.hash_list(files)
        for name in listed:
            archive.verified(files, listed, name)
        return archive.text_of(files, archive.JOB)


def _put_beside(file: Path, target: Path, sha256: str) -> None:
    """Copy a recording to its place, unless it is there.

    Raises:
        NotAllowed: another file has that name, or the recording changed while it was read.
    """
    with guarded(target):
        if target.exists():
            if _sha256(target) != sha256:
                raise NotAllowed("app.recording.name_taken", file=target.name, folder=str(target.parent))
            return

        def fill(temp: Path) -> None:
            shutil.copyfile(file, temp)
            if _sha256(temp) != sha256:
                raise NotAllowed("store.attachment.changed", path=file.name)

        replace_file(target, fill)


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _write(job_file: Path, before: str, after: str) -> None:
    """The new text in the place of the old one, whole or not at all.

    Raises:
        NotAllowed: someone changed the job meanwhile.
    """
    with guarded(job_file):
        if archive.as_text(job_file.read_bytes(), job_file.name) != before:
            raise NotAllowed("app.recording.job_changed", job=job_file.name)

        def fill(temp: Path) -> None:
            temp.write_bytes(after.encode("utf-8"))
            shutil.copymode(job_file, temp)

        replace_file(job_file, fill)


def _list_again(folder: Path, target: Path, form: str) -> None:
    """Manifest and list of hashes of a folder brought up to its new text and attachment."""
    with guarded(folder):
        name = archive.FOLDER + target.name
        text_hash, own = _sha256(folder / archive.JOB), _sha256(target)
        files = archive.folder_files(folder)
        if archive.MANIFEST in files.sizes:
            manifest = json.loads(archive.text_of(files, archive.MANIFEST))
            attached = [each for each in manifest.get("attachments", ()) if each.get("file") != name]
            manifest |= {"text_sha256": text_hash,
                         "attachments": [*attached, {"file": name, "media": MEDIA[form], "sha256": own}]}  # fmt: skip
            written = json.dumps(manifest, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
            replace_file(folder / archive.MANIFEST, lambda temp: _fill(temp, written))
        ours = [each for each in archive.folder_files(folder).sizes if each != archive.LIST]
        ours = [each for each in ours if each in (archive.JOB, archive.MANIFEST) or each.startswith(archive.FOLDER)]
        lines = "".join(f"{_sha256(folder / each)}  {each}\n" for each in ours)
        replace_file(folder / archive.LIST, lambda temp: _fill(temp, lines))


def _fill(temp: Path, text: str) -> None:
    temp.write_text(text, encoding="utf-8", newline="\n")
