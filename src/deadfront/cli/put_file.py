"""A file that a command writes: whole or not at all, into a folder that is there."""

from __future__ import annotations

from pathlib import Path

from deadfront.store.files import replace_file, write_file
from deadfront.store.trouble import guarded


def put_file(path: Path, data: bytes) -> None:
    """Write a file in place of what stood there.

    Raises:
        NotAFile: a pipe, a socket or a device stands there.
        DeadfrontError: its folder is not there, or it cannot be written; the old file stays.
    """
    with guarded(path):
        path.parent.stat()  # a folder that is not there is said, not made
        replace_file(path, lambda temp: write_file(temp, data))
