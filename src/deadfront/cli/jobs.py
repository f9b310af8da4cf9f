"""The job that an argument names: a file, a folder, or an id of the library."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from deadfront.app import parcels
from deadfront.app.answers import Answered, answer
from deadfront.app.beside import Beside, reduced_beside
from deadfront.app.photos import photos_beside, photos_of
from deadfront.cli.options import library_path
from deadfront.codebook import Overlay, read_overlay
from deadfront.documents.catalog import Catalog
from deadfront.errors import NotFound
from deadfront.job.model import Job
from deadfront.job.problems import Problem
from deadfront.job.read import read_job
from deadfront.msg import Msg
from deadfront.recordings.answer import Reduction
from deadfront.store.archive import as_text
from deadfront.store.trouble import guarded

JOB_ID = re.compile(r"j-[0-9a-z]{2,16}")


@dataclass(frozen=True, slots=True)
class Opened:
    """A job as it was found.

    Args:
        where: The argument that named it.
        problems: What could not be taken as written.
        revision: Its revision in the library; None for a file.
        measured: What its recordings come to, by id; of a job file, read from the files beside it.
        unread: Why a recording could not be reduced, by id.
        photos: The photos it names, where they are asked for.
    """

    where: str
    job: Job
    problems: tuple[Problem, ...]
    revision: int | None = None
    measured: Mapping[str, Reduction] = field(default_factory=dict)
    unread: Mapping[str, Msg] = field(default_factory=dict)
    photos: Mapping[str, bytes] = field(default_factory=dict)


def opened(where: str, library: Path | None = None, *, reduce: bool = True, photos: bool = False) -> Opened:
    """The job named by a path or a library id.

    Args:
        reduce: Whether recordings beside a job file are read.
        photos: Whether the photos it names are read.
    Raises:
        NotFound: neither a file nor a job of the library.
        JobUnreadable: no job in it.
    """
    path = Path(where)
    if JOB_ID.fullmatch(where) and not path.exists():
        return _of_library(where, library, photos)
    with guarded(path):
        if not path.exists():
            raise NotFound("cli.no_job", where=where)
    texts: list[str] = []

    def take(arrived: parcels.Arrived, _: object) -> str:
        texts.append(arrived.text)
        return where

    parcels.receive(path, take)
    read = read_job(texts[0], file=path.name)
    found = reduced_beside(read.job, path) if reduce else Beside()
    pictures = photos_beside(read.job, path) if photos else {}
    return Opened(where, read.job, read.problems, None, found.measured, found.unread, pictures)


def _of_library(job_id: str, library: Path | None, photos: bool) -> Opened:
    from deadfront.app.library import Desk
    from deadfront.store.library import open_library

    with open_library(library_path(library)) as shelf:
        found = Desk(shelf).open_job(job_id)
        pictures = photos_of(shelf, job_id, found.job) if photos else {}
    return Opened(job_id, found.job, found.problems, found.revision, found.measured, photos=pictures)


def in_edition(job: Job, edition: str | None) -> Job:
    """The job under another edition, only to look; its own where none is named."""
    if edition is None:
        return job
    code = job.job.code.model_copy(update={"edition": edition})
    return job.model_copy(update={"job": job.job.model_copy(update={"code": code})})


def overlay_of(path: Path | None) -> Overlay | None:
    """A license holder's confirmations, where a file of them is named.

    Raises:
        JobUnreadable: not readable, or it confirms another figure than ours.
    """
    if path is None:
        return None
    with guarded(path):
        data = path.read_bytes()
    return read_overlay(as_text(data, path.name), path.name)


def answered(
    where: str, library: Path | None, *, edition: str | None = None, at: str | None = None, overlay: Path | None = None,
    photos: bool = False,
) -> tuple[Opened, Answered]:  # fmt: skip
    """The job that an argument names, with its answers; with its photos where they are asked for."""
    found = opened(where, library, photos=photos)
    found = replace(found, job=in_edition(found.job, edition))
    return found, answer(found.job, overlay_of(overlay), at, found.measured, found.unread)


def catalog_for(language: str | None, job: Job | None = None) -> Catalog:
    """The words: in the language asked for, else the job's, else English."""
    return Catalog(language or (job.job.language if job is not None else "en"))
