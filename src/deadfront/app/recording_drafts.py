"""A recording file before it is read: its table, what that seems to mean, its first rows as they would be read."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from deadfront.errors import DeadfrontError
from deadfront.store.trouble import guarded

if TYPE_CHECKING:
    from deadfront.recordings.columns import Places
    from deadfront.recordings.guess import Guess
    from deadfront.recordings.mapping import Mapping
    from deadfront.recordings.sniff import Table
    from deadfront.store.library import Library

REMEMBERED = "recordings.mapping."
HEAD_BYTES = 1 << 16
MAX_SAMPLE = 300
HOUR_S = 3600


@dataclass(frozen=True, slots=True)
class Cut:
    """Where a text file was said to hold its table: separator, encoding, lines from 0 (-1: no line of names)."""

    separator: str
    encoding: str
    header_line: int
    first_line: int


@dataclass(frozen=True, slots=True)
class Draft:
    """A file as far as it is understood.

    Args:
        form: csv, parquet or espi.
        table: Its first rows; None for ESPI, which says itself what it holds.
        guess: What they seem to mean, with what must be asked.
        remembered: What was said before of a file with the same heading.
    """

    form: str
    table: Table | None = None
    guess: Guess | None = None
    remembered: Mapping | None = None

    @property
    def cut(self) -> Cut | None:
        """Where the table was found."""
        if self.table is None:
            return None
        return Cut(self.table.separator, self.table.encoding, self.table.header_line, self.table.first_line)


@dataclass(frozen=True, slots=True)
class Amount:
    """A figure as read, and the mean over its interval where it is energy; None where it cannot be told."""

    value: float | None
    unit: str
    mean: float | None = None
    mean_unit: str = ""


@dataclass(frozen=True, slots=True)
class RowAsRead:
    """A row of the file beside what it is read as.

    Args:
        cells: As they stand in the file.
        start: Start of the interval on the clock of the place, "2025-01-01 00:00"; "" where it cannot be told.
        end: Its end; "" where it is not known.
        amounts: One for each column of figures.
    """

    cells: tuple[str, ...]
    start: str
    end: str
    amounts: tuple[Amount, ...]


def draft_of(library: Library | None, path: Path, zone: str = "", cut: Cut | None = None) -> Draft:
    """What a file seems to mean.

    Args:
        library: Remembers what was said of other files; None for nothing remembered.
        zone: IANA name of the house's place, where it is known.
        cut: Where its table is, as said by a person; None: found by itself.
    Raises:
        RecordingUnreadable: there is no time or no figure in it.
    """
    from deadfront.recordings.guess import guess_table
    from deadfront.recordings.read import form_of
    from deadfront.recordings.sniff import find_table

    with guarded(path), path.open("rb") as file:
        head = file.read(HEAD_BYTES)
        form = form_of(head)
        if form == "espi":
            return Draft(form)
        if form == "parquet":
            table = _parquet_table(file)
        else:
            table = find_table(head) if cut is None else table_at(head, cut)
    guess = guess_table(table, zone)
    return Draft(form, table, guess, None if library is None else _remembered(library, table, zone))


def _remembered(library: Library, table: Table, zone: str) -> Mapping | None:
    """What was said before of a table with this heading, on the lines where this one stands."""
    from deadfront.recordings.mapping import mapping_from_json

    known = library.get_preference(REMEMBERED + fingerprint(table))
    try:
        said = None if known is None else mapping_from_json(known)
    except DeadfrontError:
        return None  # said to another version, in words this one does not have
    if said is None:
        return None
    return replace(
        said, header_line=table.header_line, first_line=table.first_line, encoding=table.encoding,
        zone=zone or said.zone,
    )  # fmt: skip


def fingerprint(table: Table) -> str:
    """Checksum of a table's heading: its column names in order."""
    return hashlib.sha256(json.dumps([table.names, table.separator]).encode()).hexdigest()


def table_at(head: bytes, cut: Cut) -> Table:
    """The table of a text file where a person says it is.

    Raises:
        RecordingUnreadable: no row of two cells stands there.
    """
    from deadfront.recordings.sniff import MAX_LINES, Table
    from deadfront.recordings.trouble import RecordingUnreadable

    text = head.decode({"utf-8": "utf-8-sig"}.get(cut.encoding, cut.encoding), errors="replace")
    lines = text.splitlines(keepends=True)[:MAX_LINES]
    cells = [_cells(line, cut.separator) for line in lines]
    rows = [row for row in cells[cut.first_line :] if len(row) > 1]
    if not rows:
        raise RecordingUnreadable("recordings.guess.no_table", lines=len(lines))
    width = len(max(rows, key=lambda row: sum(len(other) == len(row) for other in rows)))
    rows = [row for row in rows if len(row) == width][:MAX_SAMPLE]
    named = cells[cut.header_line] if 0 <= cut.header_line < len(cells) else []
    names = [name.strip() for name in named[:width]]
    names += [""] * (width - len(names))
    before = cut.first_line - (1 if named else 0)
    kept = tuple(tuple(row) for row in rows)
    return Table(cut.encoding, cut.separator, cut.header_line, cut.first_line, tuple(names), kept, before)


def _cells(line: str, separator: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=separator), [])
    except csv.Error:
        return []


def _parquet_table(file: BinaryIO) -> Table:
    """The first rows of a Parquet file as texts.

    Raises:
        RecordingUnreadable: it is broken.
    """
    import pyarrow as pa

    from deadfront.recordings.parquet import open_parquet
    from deadfront.recordings.sniff import Table
    from deadfront.recordings.trouble import RecordingUnreadable

    opened = open_parquet(file)
    try:
        batch = next(opened.iter_batches(batch_size=MAX_SAMPLE), None)
        names = opened.schema_arrow.names
        columns = [] if batch is None else [c.cast(pa.string()).fill_null("").to_pylist() for c in batch.columns]
    except (pa.ArrowException, OSError, ValueError, NotImplementedError) as problem:
        raise RecordingUnreadable("recordings.parquet.broken") from problem
    return Table("utf-8", ",", 0, 1, tuple(names), tuple(zip(*columns, strict=True)), 0)


def channels_at(path: Path, mapping: Mapping) -> tuple[str, ...]:
    """Names of the channels in the first rows of a text file, as reading calls them; none where they cannot be told."""
    from deadfront.recordings.read import form_of, read

    with guarded(path), path.open("rb") as file:
        head = file.read(HEAD_BYTES)
    if form_of(head) != "csv" or mapping.open_questions():
        return ()
    if len(head) == HEAD_BYTES:
        head = head[: head.rfind(b"\n") + 1]
    try:
        return tuple(channel.name for channel in read(io.BytesIO(head), mapping).channels)
    except (DeadfrontError, UnicodeError):
        return ()  # reading the whole file says what is wrong


def rows_as_read(table: Table, mapping: Mapping, count: int = 6) -> tuple[RowAsRead, ...]:
    """The first rows beside what they are read as, under a mapping that may still leave questions open.

    Raises:
        RecordingUnreadable: a column is not there, or the place is not known.
    """
    from deadfront.recordings.columns import NO_TIME, places

    where = places(mapping, table.names, len(table.names))
    times = _times(table, mapping, where)
    step = mapping.interval_s or _usual(time for time, _ in times)
    ends = mapping.stamps == "end" and not (where.start >= 0 and where.end >= 0) and where.clock_end < 0
    found: list[RowAsRead] = []
    last: dict[tuple[str, int], float] = {}
    for row, (time, told) in zip(table.rows, times, strict=True):
        length = told or step
        sampled = all(column.kind == "instant" for _, column in where.values)
        start, end = "", ""
        if time != NO_TIME:
            first = time - length if ends else time
            start, end = clock_text(first), "" if sampled or not length else clock_text(first + length)
        amounts = tuple(_amounts(row, mapping, where, length, last))
        found.append(RowAsRead(row, start, end, amounts))
        if len(found) == count:
            break
    return tuple(found)


def _times(table: Table, mapping: Mapping, where: Places) -> list[tuple[int, int]]:
    """Time on the clock of the place and told length of every row."""
    from deadfront.recordings.columns import NO_TIME
    from deadfront.recordings.csv_lines import row_time
    from deadfront.recordings.zone import table_of_zone

    clock = table_of_zone(mapping.zone) if mapping.zone else None
    if not mapping.date_order and mapping.stamp_form == "written":
        return [(NO_TIME, 0)] * len(table.rows)
    uses = {use: getattr(where, use) for use in ("start", "end", "date", "clock", "clock_end")}
    uses = {use: at for use, at in uses.items() if at >= 0}
    found = [row_time({use: row[at] for use, at in uses.items()}, mapping) for row in table.rows]
    if clock is None or (mapping.stamp_form == "written" and mapping.offsets != "written"):
        return found
    import numpy as np

    local = clock.to_local(np.array([time for time, _ in found], dtype=np.int64))
    return [(time if time == NO_TIME else int(at), told) for (time, told), at in zip(found, local, strict=True)]


def _usual(times: Iterator[int]) -> int:
    """The step met most often between the different times, in seconds; 0 with fewer than two."""
    from deadfront.recordings.columns import NO_TIME

    known = sorted({time for time in times if time != NO_TIME})
    steps = [later - sooner for sooner, later in zip(known, known[1:], strict=False)]
    return max(steps, key=lambda step: (steps.count(step), -step)) if steps else 0


def _amounts(
    row: Sequence[str], mapping: Mapping, where: Places, length_s: int, last: dict[tuple[str, int], float]
) -> Iterator[Amount]:
    from deadfront.recordings.mapping import ENERGY
    from deadfront.recordings.numbers import read_number

    name = " ".join(row[at] for at in (where.channel, where.leg) if at >= 0)
    for at, column in where.values:
        value = read_number(row[at], mapping.decimal, mapping.thousands, column.unit) if mapping.decimal else None
        if value is None or column.unit not in ENERGY or not length_s:
            yield Amount(value, column.unit)
            continue
        rise: float | None = value
        if column.kind == "register":
            before = last.get((name, at))
            last[name, at] = value
            rise = None if before is None else value - before
        mean = None if rise is None else rise * HOUR_S / length_s
        yield Amount(value, column.unit, mean, column.unit.removesuffix("h"))


def clock_text(seconds: int) -> str:
    """Seconds on a clock as "2025-01-01 00:15"; with its seconds where there are any."""
    from datetime import datetime, timedelta

    at = datetime(1970, 1, 1) + timedelta(seconds=seconds)
    return f"{at:%Y-%m-%d %H:%M:%S}" if seconds % 60 else f"{at:%Y-%m-%d %H:%M}"
