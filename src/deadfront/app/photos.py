"""Photos that a job names, as bytes: from the library, from a job's folder or zip, from beside a bare job file."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from deadfront.app import parcels
from deadfront.errors import DeadfrontError
from deadfront.job.model import Job
from deadfront.store.library import Library
from deadfront.store.photos import stripped
from deadfront.store.trouble import guarded

LARGEST_BYTES = 40_000_000
WITH_PHOTO = ("hazards", "records", "torques", "corrections")
"""Lists whose things may have a photo."""
ENDINGS = ("", ".jpg", ".jpeg", ".png")
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9_. -]{0,80}")


def names_in(job: Job) -> tuple[str, ...]:
    """Every photo that a job names: of its hazards, records, terminals, corrections, of where facts come from."""
    lists = (job.before, *(step.add for step in job.work))
    things = (each for one in lists for name in WITH_PHOTO for each in getattr(one, name))
    named = [each.photo for each in things] + [each.photo for each in job.origins]
    return tuple(dict.fromkeys(name for name in named if name))


def stem_of(name: str) -> str:
    """The name of a photo without its ending: "lug.png" and "lug" are the same photo."""
    stem, dot, ending = name.rpartition(".")
    return stem if dot and f".{ending.lower()}" in ENDINGS else name


class LibraryPhotos(Mapping[str, bytes]):
    """The photos that a job of the library names and has, by that name; their bytes are read when asked for.

    One that cannot be read counts as not there: the sheet says so.
    """

    def __init__(self, library: Library, job_id: str, job: Job) -> None:
        self.library = library
        held = {row.name: row.hash for row in library.attachments(job_id) if row.media.startswith("image/")}
        named = ((name, held.get(stem_of(name))) for name in names_in(job))
        self._hashes = {name: digest for name, digest in named if digest is not None}

    def __getitem__(self, name: str) -> bytes:
        try:
            return self.library.attachment(self._hashes[name]).data
        except DeadfrontError as error:
            raise KeyError(name) from error

    def __contains__(self, name: object) -> bool:
        return name in self._hashes

    def __iter__(self) -> Iterator[str]:
        return iter(self._hashes)

    def __len__(self) -> int:
        return len(self._hashes)


def photos_of(library: Library, job_id: str, job: Job) -> Mapping[str, bytes]:
    """The photos that a job of the library names and has."""
    return LibraryPhotos(library, job_id, job)


def photos_beside(job: Job, path: Path) -> Mapping[str, bytes]:
    """The photos that a job file names: in its folder or zip, or lying beside a bare file; those that can be read."""
    if path.suffix.lower() == ".toml":
        return _found(job, lambda stem: _beside(path.parent, stem))
    data: dict[str, bytes] = {}

    def take(arrived: parcels.Arrived, data_of: Callable[[str], bytes]) -> str:
        wanted = {stem_of(name) for name in names_in(job)}
        for file, name, media in arrived.attachments:
            if name in wanted and media.startswith("image/"):
                data[name] = stripped(data_of(file), name)[1]
        return ""

    parcels.receive(path, take)
    return _found(job, lambda stem: data.get(stem, b""))


def _beside(folder: Path, stem: str) -> bytes:
    for path in _candidates(folder, stem):
        with guarded(path):
            if path.is_file() and path.stat().st_size <= LARGEST_BYTES:
                return stripped(path.read_bytes(), path.name)[1]
    return b""


def _candidates(folder: Path, stem: str) -> Iterator[Path]:
    if _PLAIN.fullmatch(stem):
        yield from (folder / f"{stem}{ending}" for ending in ENDINGS[1:])


def _found(job: Job, held: Callable[[str], bytes]) -> Mapping[str, bytes]:
    """By the name the job uses; one that is not there or cannot be read is left out: the sheet says so."""
    out = {}
    for name in names_in(job):
        try:
            data = held(stem_of(name))
        except DeadfrontError:
            continue
        if data:
            out[name] = data
    return out
