"""Recordings that lie beside a job file come along when the job is brought into a library."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from deadfront.app.beside import recordings_of, reduced_beside
from deadfront.app.recordings import keep, store_figures
from deadfront.msg import Msg

if TYPE_CHECKING:
    from deadfront.app.library import Desk


def take_along(desk: Desk, job_id: str, path: Path) -> tuple[tuple[str, ...], Mapping[str, Msg]]:
    """Keep and reduce the recordings of a job just brought in; their files' names, and why others stayed behind.

    Args:
        path: The job file, folder or zip it came from; the attachments of the last two are in the library already.
    """
    job = desk.open_job(job_id).job
    found = reduced_beside(job, path)
    taken = []
    for each in recordings_of(job):
        if each.id not in found.measured:
            continue
        if path.suffix.lower() == ".toml" and each.file:
            keep(desk, job_id, each, found.measured[each.id], path.parent / each.file)
        else:
            store_figures(desk, job_id, each, found.measured[each.id])
        taken.append(each.file or each.id)
    return tuple(dict.fromkeys(taken)), found.unread
