"""The bytes of a recording as they stream by: counted, hashed, stopped on request."""

from __future__ import annotations

import codecs
import hashlib
from collections.abc import Callable
from typing import BinaryIO

from deadfront.recordings.trouble import ReadingStopped

CHUNK = 1 << 20
Progress = Callable[[int], None]
Stop = Callable[[], bool]


class Source:
    """A binary file read once from its start; tells progress in bytes and asks at every chunk whether to stop.

    Args:
        file: Open for reading bytes; it must be able to seek.
        progress: Called with the bytes read so far.
        stop: Asked at every chunk; true ends the reading with ReadingStopped.
    """

    def __init__(self, file: BinaryIO, progress: Progress | None = None, stop: Stop | None = None) -> None:
        self._file, self._progress, self._stop = file, progress, stop
        self.closed = False
        self.size = file.seek(0, 2)
        self.stopped = False
        self.utf8_only = False
        self.restart()

    def restart(self) -> None:
        """Begin anew at the first byte."""
        self._file.seek(0)
        self._hash = hashlib.sha256()
        self._mixed = False
        self._decoder = codecs.getincrementaldecoder("utf-8")()
        self.bytes_read = 0

    def read(self, size: int = CHUNK) -> bytes:
        """The next bytes.

        Raises:
            ReadingStopped: the caller wants no more.
            UnicodeDecodeError: `utf8_only` is set and they are not UTF-8.
        """
        self.ask()
        data = self._file.read(CHUNK if size is None or size < 0 else size)
        self._hash.update(data)
        if self.utf8_only and (self._mixed or not data.isascii()):
            self._mixed = True
            self._decoder.decode(data, final=not data)
        self.bytes_read += len(data)
        if self._progress is not None:
            self._progress(self.bytes_read)
        return data

    def ask(self) -> None:
        """Whether to go on.

        Raises:
            ReadingStopped: the caller wants no more.
        """
        if self._stop is not None and self._stop():
            self.stopped = True
            raise ReadingStopped("recordings.stopped", bytes_read=self.bytes_read)

    def sha256(self) -> str:
        """Checksum of the whole file; reads what is left of it."""
        while self.read(CHUNK):
            pass
        return self._hash.hexdigest()

    def close(self) -> None:
        """Nothing: the file belongs to the caller."""

    def readable(self) -> bool:
        """True."""
        return True

    def seekable(self) -> bool:
        """False: it streams."""
        return False

    def writable(self) -> bool:
        """False."""
        return False
