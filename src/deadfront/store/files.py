"""Files written whole or not at all, and bytes kept by their hash."""

from __future__ import annotations

import glob
import hashlib
import os
import secrets
import shutil
import time
from collections.abc import Callable, Iterable
from pathlib import Path

LEFT_BEHIND_S = 86_400


def bytes_hash(data: bytes) -> str:
    """SHA-256 in hex."""
    return hashlib.sha256(data).hexdigest()


def sync_folder(folder: Path) -> None:
    """Make the names in a folder last through a power cut, where the system can."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _beside(path: Path) -> Path:
    """A name of its own in the same folder, for what is not finished yet."""
    return path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")


def sweep(path: Path) -> None:
    """Remove what programs that died left beside a path, more than a day ago."""
    for each in path.parent.glob(f".{glob.escape(path.name)}.*.part"):
        if time.time() - each.lstat().st_mtime > LEFT_BEHIND_S:
            shutil.rmtree(each) if each.is_dir() else each.unlink()


def write_file(path: Path, data: bytes | Iterable[bytes]) -> None:
    """Write one file, whole or piece by piece, and make it last; its name must be new."""
    with path.open("xb") as file:
        for piece in (data,) if isinstance(data, bytes) else data:
            file.write(piece)
        file.flush()
        os.fsync(file.fileno())


def replace_file(path: Path, fill: Callable[[Path], None]) -> None:
    """Put a whole new file in the place of an old one; a crash leaves the old one or the new one.

    Args:
        fill: Writes the new content to the path it is given.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    sweep(path)
    temp = _beside(path)
    try:
        fill(temp)
        with temp.open("rb+") as file:
            os.fsync(file.fileno())
        os.replace(temp, path)
    finally:
        temp.unlink(missing_ok=True)
    sync_folder(path.parent)


def make_folder(path: Path, fill: Callable[[Path], None]) -> None:
    """Make a folder that appears whole; `path` must not be there, or be an empty folder."""
    path.parent.mkdir(parents=True, exist_ok=True)
    sweep(path)
    temp = _beside(path)
    temp.mkdir()
    try:
        fill(temp)
        for folder in [*(each for each in temp.rglob("*") if each.is_dir()), temp]:
            sync_folder(folder)
        if path.is_dir():
            path.rmdir()  # fails unless empty
        os.rename(temp, path)
    finally:
        shutil.rmtree(temp, ignore_errors=True)
    sync_folder(path.parent)


class Shelf:
    """Bytes in files named by their hash; one that is there is never written again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, digest: str) -> Path:
        """Where the bytes of a hash stand."""
        return self.folder / digest[:2] / digest

    def put(self, data: bytes) -> str:
        """Keep the bytes; their hash."""
        digest = bytes_hash(data)
        path = self.path(digest)
        if not path.exists():
            replace_file(path, lambda temp: write_file(temp, data))
        return digest

    def take(self, source: Path, digest: str) -> None:
        """Keep a large file by the hash it must have, copied chunk by chunk, never whole in memory.

        Raises:
            ValueError: the file is another one by now.
        """

        def copied(temp: Path) -> None:
            seen = hashlib.sha256()
            with source.open("rb") as read, temp.open("xb") as written:
                while chunk := read.read(1 << 20):
                    seen.update(chunk)
                    written.write(chunk)
            if seen.hexdigest() != digest:
                raise ValueError(digest)

        if not self.path(digest).exists():
            replace_file(self.path(digest), copied)

    def get(self, digest: str) -> bytes | None:
        """The bytes of a hash; None where they are missing or no longer what they were."""
        try:
            data = self.path(digest).read_bytes()
        except FileNotFoundError:
            return None
        return data if bytes_hash(data) == digest else None
