"""The bytes of a recording as they stream by: counted, hashed, stopped on request."""

from __future__ import annotations

import codecs
import hashlib
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import BinaryIO

from deadfront.recordings.trouble import ReadingStopped

CHUNK = 1 << 20
BESIDE_BYTES = 2 << 20  # a smaller file is hashed at once; a thread would cost more than it saves
WAITING = 8
Progress = Callable[[int], None]
Stop = Callable[[], bool]


class _Checksum:
    """SHA-256 of the bytes in their order, made in a thread beside the reading where there are many."""

    def __init__(self, beside: bool) -> None:
        self._hash = hashlib.sha256()
        self._thread = ThreadPoolExecutor(1) if beside else None
        self._waiting: deque[Future[None]] = deque()

    def update(self, data: bytes) -> None:
        """More bytes; waits where the thread has fallen behind, so that few are held."""
        if self._thread is None:
            self._hash.update(data)
            return
        self._waiting.append(self._thread.submit(self._hash.update, data))
        while len(self._waiting) > WAITING:
            self._waiting.popleft().result()

    def end(self) -> str:
        """The checksum, once the thread is done."""
        while self._waiting:
            self._waiting.popleft().result()
        self.close()
        return self._hash.hexdigest()

    def close(self) -> None:
        """End the thread."""
        if self._thread is not None:
            self._thread.shutdown(wait=False, cancel_futures=True)
            self._thread = None


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
        self._hash = _Checksum(False)
        self.restart()

    def restart(self) -> None:
        """Begin anew at the first byte."""
        self._file.seek(0)
        self._hash.close()
        self._hash = _Checksum(self.size > BESIDE_BYTES)
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
        return self._hash.end()

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
