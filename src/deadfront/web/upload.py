"""A large file sent up in a form: written to disk as it comes, never whole in memory."""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO

from anyio.to_thread import run_sync
from python_multipart import MultipartParser
from python_multipart.exceptions import FormParserError
from python_multipart.multipart import parse_options_header
from starlette.exceptions import HTTPException
from starlette.requests import Request

from deadfront.store.trouble import guarded

FIELD = "file"
MAX_PARTS = 10
MAX_HEAD = 8_000
GATHERED = 1 << 20


class Parts:
    """The parts of a form as they stream by: the bytes of its one file are gathered, everything else is let go.

    Attributes:
        name: What the file was called where it came from; "" before one came.
        gathered: Its bytes that are not written yet.
    """

    def __init__(self) -> None:
        self.name, self.gathered = "", bytearray()
        self._head, self._value, self._disposition = b"", b"", b""
        self._parts, self._taking = 0, False

    def callbacks(self) -> dict[str, object]:
        """What the parser calls."""
        return {
            "on_part_begin": self._begin, "on_part_data": self._data, "on_header_field": self._on_head,
            "on_header_value": self._on_value, "on_header_end": self._head_end, "on_headers_finished": self._named,
        }  # fmt: skip

    def _begin(self) -> None:
        self._parts += 1
        if self._parts > MAX_PARTS:
            raise FormParserError("parts")
        self._disposition, self._taking = b"", False

    def _on_head(self, data: bytes, start: int, end: int) -> None:
        self._head += data[start:end]
        self._short()

    def _on_value(self, data: bytes, start: int, end: int) -> None:
        self._value += data[start:end]
        self._short()

    def _short(self) -> None:
        if len(self._head) + len(self._value) > MAX_HEAD:
            raise FormParserError("head")

    def _head_end(self) -> None:
        if self._head.lower() == b"content-disposition":
            self._disposition = self._value
        self._head, self._value = b"", b""

    def _named(self) -> None:
        _, told = parse_options_header(self._disposition)
        self._taking = told.get(b"name") == FIELD.encode() and bool(told.get(b"filename")) and not self.name
        if self._taking:
            self.name = told[b"filename"].decode("utf-8", errors="replace")

    def _data(self, data: bytes, start: int, end: int) -> None:
        if self._taking:
            self.gathered += data[start:end]


async def receive_file(request: Request, path: Path) -> str:
    """Write the file of a form to a path; what it was called, "" where none was sent.

    Raises:
        HTTPException: it is no such form.
        LibraryTrouble: the disk is full, or cannot be written.
    """
    kind, told = parse_options_header(request.headers.get("content-type", ""))
    if kind != b"multipart/form-data" or b"boundary" not in told:
        raise HTTPException(400)
    parts = Parts()
    try:
        with guarded(path), path.open("wb") as file:
            parser = MultipartParser(told[b"boundary"], parts.callbacks())  # type: ignore[arg-type]
            async for chunk in request.stream():
                parser.write(chunk)
                if len(parts.gathered) >= GATHERED:
                    await _write(file, parts)
            parser.finalize()
            await _write(file, parts)
    except FormParserError as error:
        raise HTTPException(400) from error
    return parts.name


async def _write(file: BinaryIO, parts: Parts) -> None:
    data, parts.gathered = bytes(parts.gathered), bytearray()
    await run_sync(file.write, data)
