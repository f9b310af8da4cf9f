"""Reading Parquet by row groups, with the same mapping as a table of text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, BinaryIO

from deadfront.recordings.across import gather_days
from deadfront.recordings.columns import NO_TIME, Gatherer, Places, Rows, places
from deadfront.recordings.csv_columns import codes
from deadfront.recordings.mapping import Mapping
from deadfront.recordings.marks import mark_of_word
from deadfront.recordings.numbers import MAX_VALUE
from deadfront.recordings.recording import Recording, Unread
from deadfront.recordings.source import Source
from deadfront.recordings.stamp_columns import Words, looked_up, times
from deadfront.recordings.trouble import ReadingStopped, RecordingUnreadable
from deadfront.recordings.zone import table_of_zone

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

BATCH = 65_536
MAX_COLUMNS = 4_000


def open_parquet(file: BinaryIO) -> Any:
    """A Parquet file for reading.

    Raises:
        RecordingUnreadable: it is broken.
    """
    import pyarrow as pa
    from pyarrow import parquet

    file.seek(0)
    try:
        return parquet.ParquetFile(file)
    except (pa.ArrowException, OSError, ValueError) as problem:
        raise RecordingUnreadable("recordings.parquet.broken") from problem


def read_parquet(source: Source, file: BinaryIO, mapping: Mapping) -> Recording:
    """Read the mapped columns, some rows at a time.

    Raises:
        RecordingUnreadable: it is broken, or a column is not there or of no use.
    """
    import pyarrow as pa

    checksum = source.sha256()
    table = open_parquet(file)
    names = table.schema_arrow.names
    if len(names) > MAX_COLUMNS:
        raise RecordingUnreadable("recordings.csv.wide", found=len(names), allowed=MAX_COLUMNS)
    where = places(mapping, names, len(names))
    if mapping.across_s:
        unread = Unread()
        gather, rows = gather_days(_cells(table, source), mapping, where, unread, table_of_zone(mapping.zone))
        return _whole(checksum, mapping, gather, rows)
    used = sorted({at for at in _used(where) if at >= 0})
    unread, rows = Unread(), 0
    gather = Gatherer(mapping, where, unread)
    try:
        for batch in table.iter_batches(batch_size=BATCH, columns=[names[at] for at in used]):
            source.ask()
            rows += batch.num_rows
            if batch.num_rows:
                gather.take(_rows(dict(zip(used, batch.columns, strict=True)), mapping, where, unread))
    except (pa.ArrowException, OSError, ValueError, NotImplementedError) as problem:
        if isinstance(problem, ReadingStopped):
            raise
        raise RecordingUnreadable("recordings.parquet.broken") from problem
    return _whole(checksum, mapping, gather, rows)


def _whole(checksum: str, mapping: Mapping, gather: Gatherer, rows: int) -> Recording:
    channels = [channel for channel in gather.channels.values() if channel.pack.count]
    if not channels:
        raise RecordingUnreadable("recordings.csv.nothing", rows=rows, lines=())
    clock = table_of_zone(mapping.zone)
    return Recording("parquet", checksum, mapping, clock, mapping.clock, channels, gather.unread, rows, "columns")


def _cells(table: Any, source: Source) -> Iterator[tuple[int, list[str]]]:
    """Rows as texts, for tables with a day in each row."""
    import pyarrow as pa

    try:
        for batch in table.iter_batches(batch_size=BATCH // 16):
            source.ask()
            columns = [column.cast(pa.string()).fill_null("").to_pylist() for column in batch.columns]
            yield from ((0, list(row)) for row in zip(*columns, strict=True))
    except (pa.ArrowException, OSError, ValueError, NotImplementedError) as problem:
        if isinstance(problem, ReadingStopped):
            raise
        raise RecordingUnreadable("recordings.parquet.broken") from problem


def _used(where: Places) -> list[int]:
    times = [where.start, where.end, where.date, where.clock, where.clock_end]
    return [*times, where.channel, where.leg, where.quality, *(at for at, _ in where.values)]


def _rows(columns: dict[int, Any], mapping: Mapping, where: Places, unread: Unread) -> Rows:
    import numpy as np
    import pyarrow as pa

    def text(at: int) -> Any:
        return columns[at].cast(pa.string()).fill_null("")

    time, length = _stamps(columns, text, mapping, where)
    unread.row(0, int((time == NO_TIME).sum()))
    values = []
    for at, _ in where.values:
        value = np.array(columns[at].cast(pa.float64()).to_numpy(zero_copy_only=False), dtype=np.float64)
        odd = np.isinf(value) | (np.abs(np.nan_to_num(value)) > MAX_VALUE)
        unread.cells += int(odd.sum())
        value[odd] = np.nan
        values.append(value)
    marks = np.zeros(len(time), dtype=np.int64)
    if where.quality >= 0:
        marks = looked_up(text(where.quality), lambda word: int(mark_of_word(word)))
    if where.channel < 0 and where.leg < 0:
        return Rows(time, length, values, marks)
    row_codes, names = codes(text, where)
    return Rows(time, length, values, marks, row_codes, names)


def _stamps(
    columns: dict[int, Any], text: Any, mapping: Mapping, where: Places
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Real timestamps as they are; text and counted stamps as in a CSV file."""
    import numpy as np
    import pyarrow as pa

    ends = [at for at in (where.start, where.end) if at >= 0]
    if not ends or not all(pa.types.is_timestamp(columns[at].type) for at in ends):
        return times(text, mapping, where, Words(mapping))
    if any((columns[at].type.tz is None) != (mapping.offsets == "" and mapping.zone != "UTC") for at in ends):
        zone = next((columns[at].type.tz for at in ends), None)
        if not (zone is None and mapping.zone == "UTC"):
            raise RecordingUnreadable("recordings.parquet.zone", found=zone or "", offsets=mapping.offsets)
    seconds = [_seconds(columns[at]) for at in ends]
    if len(seconds) == 1:
        return seconds[0], np.zeros(len(seconds[0]), dtype=np.int64)
    both = (seconds[0] != NO_TIME) & (seconds[1] != NO_TIME)
    return seconds[0], np.where(both, np.maximum(seconds[1] - seconds[0], 0), 0)


def _seconds(column: Any) -> NDArray[np.int64]:
    import numpy as np
    import pyarrow as pa

    whole = np.asarray(column.cast(pa.timestamp("s", column.type.tz), safe=False).cast(pa.int64()).fill_null(NO_TIME))
    inside = (whole >= 631_152_000) & (whole <= 4_133_980_800)
    return np.where(inside, whole, NO_TIME)
