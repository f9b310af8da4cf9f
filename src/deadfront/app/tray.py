"""The tray: files sent up that are not part of any job yet, at most one for each job, on disk beside the library."""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Lock

from deadfront.store.trouble import guarded

LEFT_BEHIND_S = 86_400


@dataclass(frozen=True, slots=True)
class Incoming:
    """A file sent up for a job.

    Args:
        path: Where it lies.
        name: What it was called where it came from.
        size: Its bytes.
        said: What was answered about it so far, by field.
    """

    path: Path
    name: str
    size: int
    said: Mapping[str, str] = field(default_factory=dict)


class Tray:
    """Files sent up, until they are taken into a job or put away.

    Args:
        library: The library's file; the tray lies beside it, since that disk must have the room anyway.
    """

    def __init__(self, library: Path) -> None:
        self._near, self._lock = library, Lock()
        self._folder: Path | None = None
        self._held: dict[str, Incoming] = {}

    def place(self) -> Path:
        """A new place for a file to be written to; whoever writes it puts it in the tray, or removes it."""
        with self._lock, guarded(self._near):
            if self._folder is None or not self._folder.is_dir():
                self._folder = self._new_folder()
            return Path(tempfile.mkdtemp(dir=self._folder)) / "file"

    def _new_folder(self) -> Path:
        """A folder of this program alone; what one that died left behind more than a day ago is removed."""
        head = f".{self._near.name}.tray-"
        for old in self._near.parent.glob(f"{head}*"):
            if time.time() - old.lstat().st_mtime > LEFT_BEHIND_S:
                shutil.rmtree(old, ignore_errors=True)
        return Path(tempfile.mkdtemp(prefix=head, dir=self._near.parent))

    def put(self, job_id: str, path: Path, name: str) -> Incoming:
        """A file for a job, in the place of the one that was there."""
        self.drop(job_id)
        with self._lock:
            made = self._held[job_id] = Incoming(path, name, path.stat().st_size)
        return made

    def of(self, job_id: str) -> Incoming | None:
        """The file of a job."""
        with self._lock:
            return self._held.get(job_id)

    def say(self, job_id: str, said: Mapping[str, str]) -> None:
        """Keep what was answered about a job's file."""
        with self._lock:
            if job_id in self._held:
                self._held[job_id] = replace(self._held[job_id], said=dict(said))

    def drop(self, job_id: str) -> None:
        """Remove the file of a job."""
        with self._lock:
            held = self._held.pop(job_id, None)
        if held is not None:
            self.discard(held.path)

    def discard(self, path: Path) -> None:
        """Remove a file and the place it was written to."""
        shutil.rmtree(path.parent, ignore_errors=True)

    def discard_unless_held(self, job_id: str, path: Path) -> None:
        """Remove a file that did not get into the tray."""
        held = self.of(job_id)
        if held is None or held.path != path:
            self.discard(path)

    def close(self) -> None:
        """Remove everything."""
        with self._lock:
            self._held.clear()
            folder, self._folder = self._folder, None
        if folder is not None:
            shutil.rmtree(folder, ignore_errors=True)
