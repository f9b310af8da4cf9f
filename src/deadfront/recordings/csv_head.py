"""The top of a CSV file: its column names, how many cells a row has, the reading of its lines within limits."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from itertools import islice

from deadfront.recordings.columns import Places, places
from deadfront.recordings.mapping import Mapping
from deadfront.recordings.source import Source
from deadfront.recordings.trouble import RecordingUnreadable

MAX_LINE = 1 << 20
MAX_WIDTH = 4_000


class _Raw(io.RawIOBase):
    """A Source as a raw stream, so that text can be read from it."""

    def __init__(self, source: Source) -> None:
        self._source = source

    def readable(self) -> bool:
        return True

    def readinto(self, buffer) -> int:  # type: ignore[no-untyped-def]
        data = self._source.read(len(buffer))
        buffer[: len(data)] = data
        return len(data)


def text_lines(source: Source, encoding: str) -> Iterator[str]:
    """The lines of a file, bad bytes replaced, no line longer than the limit.

    Raises:
        RecordingUnreadable: a line is longer than the limit.
    """
    codec = {"utf-8": "utf-8-sig"}.get(encoding, encoding)
    text = io.TextIOWrapper(io.BufferedReader(_Raw(source), 1 << 18), codec, errors="replace", newline="")
    number = 0
    try:
        while line := text.readline(MAX_LINE):
            number += 1
            if len(line) >= MAX_LINE:
                raise RecordingUnreadable("recordings.csv.long_line", line=number, allowed=MAX_LINE)
            yield line
    except UnicodeError as problem:  # UTF-16 without its mark and cut in two
        raise RecordingUnreadable("recordings.csv.encoding", line=number + 1, encoding=encoding) from problem
    finally:
        text.detach()


def rows_of(lines: Iterator[str], mapping: Mapping) -> Iterator[tuple[int, list[str]]]:
    """Line number from 1 and cells of each row that is not empty.

    Raises:
        RecordingUnreadable: a cell or a quoted text without end.
    """
    reader = csv.reader(lines, delimiter=mapping.separator)
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as problem:
            line = mapping.first_line + reader.line_num
            raise RecordingUnreadable("recordings.csv.cell", line=line) from problem
        if row:
            yield mapping.first_line + reader.line_num, row


def find_places(source: Source, mapping: Mapping) -> Places:
    """Column numbers from the header and the first row of readings.

    Raises:
        RecordingUnreadable: the file ends before its first reading, or a column is not there.
    """
    lines = text_lines(source, mapping.encoding)
    top = list(islice(lines, mapping.first_line))
    if len(top) < mapping.first_line:
        raise RecordingUnreadable("recordings.csv.short", lines=len(top), first_line=mapping.first_line + 1)
    names: list[str] = []
    if 0 <= mapping.header_line < len(top):
        try:
            names = next(csv.reader([top[mapping.header_line]], delimiter=mapping.separator), [])
        except csv.Error as problem:
            raise RecordingUnreadable("recordings.csv.cell", line=mapping.header_line + 1) from problem
    width = 0
    for _, row in islice(rows_of(lines, mapping), 20):
        width = max(width, len(row))
        if len(row) == len(names):
            width = len(row)
            break
    if not width:
        raise RecordingUnreadable("recordings.csv.short", lines=len(top), first_line=mapping.first_line + 1)
    if width > MAX_WIDTH:
        raise RecordingUnreadable("recordings.csv.wide", found=width, allowed=MAX_WIDTH)
    return places(mapping, names, width)
