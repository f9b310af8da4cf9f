"""A job as a file to send, and a file that came as a job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

from deadfront import __version__
from deadfront.errors import JobUnreadable, NotAllowed, NotFound, UnsafeFile
from deadfront.msg import Msg, said
from deadfront.store import archive
from deadfront.store.archive import Files, Kept, Parcel
from deadfront.store.library import Library
from deadfront.store.photos import photo_kind, stripped
from deadfront.store.shelves import ATTACHMENT_NAME
from deadfront.store.trouble import guarded

PHOTO_ENDINGS = ("jpg", "jpeg", "png")


@dataclass(frozen=True, slots=True)
class Arrived:
    """What a job file held, every limit and hash checked.

    Args:
        attachments: Name and ending of each, to be read one at a time.
        ignored: Files that are no part of a job file.
    """

    text: str
    attachments: tuple[tuple[str, str, str], ...] = ()
    ignored: tuple[str, ...] = ()


def parcel_of(library: Library, job_id: str, number: int, at: datetime) -> Parcel:
    """A revision of a job with everything attached to the job."""
    revision = library.revision(job_id, number)
    attachments: dict[str, bytes | Kept] = {}
    listed = []
    for row in library.attachments(job_id):
        file = f"{row.name}.{archive.ENDING.get(row.media, 'txt')}"
        if (kept := library.shelf().path(row.hash)).exists():
            attachments[file] = Kept(row.hash, partial(library.open_attachment, row.hash), kept)
        else:
            attachments[file] = library.attachment(row.hash).data
        listed.append({"file": archive.FOLDER + file, "media": row.media, "sha256": row.hash})
    manifest = {
        "what": "deadfront job", "format": 1, "name": library.job(job_id).name, "revision": number,
        "text_sha256": revision.row.sha256, "exported": at.isoformat(timespec="seconds"), "program": __version__,
        "attachments": listed,
    }  # fmt: skip
    return Parcel(revision.text, attachments, manifest)


def send(parcel: Parcel, path: Path, at: datetime) -> None:
    """Write a job file: a zip where the name ends in .zip, a folder where it has no ending.

    Raises:
        NotAllowed: another ending, or a folder that is in use.
        LibraryTrouble: no room, no right to write.
    """
    if path.suffix.lower() == ".zip":
        if path.is_dir():
            raise NotAllowed("app.export.is_folder", path=str(path))
        with guarded(path):
            archive.write_zip(parcel, path, at)
    elif path.suffix:
        raise NotAllowed("app.export.ending", path=str(path), found=path.suffix)
    else:
        if path.exists() and (not path.is_dir() or any(path.iterdir())):
            raise NotAllowed("app.export.in_use", path=str(path))
        with guarded(path):
            archive.write_folder(parcel, path)


def receive(path: Path, take: Callable[[Arrived, Callable[[str], bytes]], str]) -> str:
    """Check a job file and hand its parts to `take`, which reads each attachment when it wants it.

    Raises:
        NotFound: nothing at the path.
        UnsafeFile: beyond a limit.
        JobUnreadable: no job file, or changed since its hashes were listed.
    """
    if not path.exists():
        raise NotFound("app.import.not_found", path=str(path))
    with guarded(path):
        if path.is_dir():
            return _opened(archive.folder_files(path), take)
        if path.suffix.lower() == ".toml":
            if (size := path.stat().st_size) > archive.MAX_TEXT_BYTES:
                raise UnsafeFile("store.archive.text_size", name=path.name, found=size, allowed=archive.MAX_TEXT_BYTES)
            text = archive.as_text(path.read_bytes(), path.name)
            return take(Arrived(text), lambda name: b"")
        if path.suffix.lower() == ".zip":
            return _opened(archive.ZipFiles(path), take)
    raise JobUnreadable("app.import.ending", path=str(path), found=path.suffix)


def _opened(files: Files, take: Callable[[Arrived, Callable[[str], bytes]], str]) -> str:
    try:
        listed = archive.hash_list(files)
        for name in listed:  # all of it, before anything is kept
            archive.check_hash(files, listed, name)
        if archive.JOB not in listed:
            raise JobUnreadable("app.import.no_job", path=str(files.source), job=archive.JOB)
        parts = tuple(_attachment(name) for name in files.sizes if name.startswith(archive.FOLDER))
        own = {archive.JOB, archive.LIST, archive.MANIFEST, *(part[0] for part in parts)}
        text = archive.as_text(archive.verified(files, listed, archive.JOB), archive.JOB)
        arrived = Arrived(text, parts, tuple(name for name in files.sizes if name not in own))
        return take(arrived, lambda name: archive.verified(files, listed, name))
    finally:
        files.close()


def _attachment(name: str) -> tuple[str, str, str]:
    """File, name in the job and media type of an attachment.

    Raises:
        UnsafeFile: a kind of file that is not attached to jobs, or a name that is none.
    """
    stem, _, ending = name.removeprefix(archive.FOLDER).rpartition(".")
    media = archive.MEDIA.get(ending.lower())
    if media is None:
        raise UnsafeFile("app.attachment.kind", name=name, allowed=tuple(archive.MEDIA))
    if not ATTACHMENT_NAME.fullmatch(stem):
        raise UnsafeFile("store.attachment.bad_name", name=stem)
    return name, stem, media


def fit_to_keep(data: bytes, media: str, name: str) -> tuple[str, bytes]:
    """Media type and bytes of an attachment as they may be kept: photos with nothing but the picture.

    Raises:
        UnsafeFile: a photo that is malformed, or something else under a photo's name, or the other way round.
    """
    if media not in archive.ENDING:
        raise UnsafeFile("app.attachment.kind", name=name, allowed=tuple(archive.MEDIA))
    if media.startswith("image/"):
        return stripped(data, name)
    if photo_kind(data) is not None:
        raise UnsafeFile("app.attachment.hidden_photo", name=name, allowed=PHOTO_ENDINGS)
    return media, data


def told_ignored(names: tuple[str, ...]) -> tuple[Msg, ...]:
    """What to say of files that are no part of a job file."""
    return tuple(said("app.import.ignored", name=name) for name in names[:20])
