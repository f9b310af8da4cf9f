"""Reading a recording: which form it has, and the one call that reads it whole."""

from __future__ import annotations

from typing import BinaryIO

from deadfront.recordings.across import read_across
from deadfront.recordings.columns import Gatherer
from deadfront.recordings.csv_columns import Refused, read_columns
from deadfront.recordings.csv_head import find_places
from deadfront.recordings.csv_lines import read_lines
from deadfront.recordings.mapping import Mapping
from deadfront.recordings.recording import Recording, Unread
from deadfront.recordings.source import Progress, Source, Stop
from deadfront.recordings.trouble import MappingUnclear, RecordingUnreadable
from deadfront.recordings.zone import table_of_zone

HEAD = 1 << 18
FORMS = ("csv", "parquet", "espi")


def form_of(head: bytes) -> str:
    """Which form a file has, from its first bytes; anything that is neither Parquet nor XML is taken as CSV."""
    if head[:4] == b"PAR1":
        return "parquet"
    start = head[:200].replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")
    return "espi" if start.startswith(b"<") else "csv"


def read(
    file: BinaryIO, mapping: Mapping | None = None, *, progress: Progress | None = None, stop: Stop | None = None
) -> Recording:
    """Read a whole recording; memory stays bounded, a few bytes for each reading.

    Args:
        file: Open for reading bytes, able to seek.
        mapping: What the columns mean; for ESPI None, since it says so itself.
        progress: Called with the bytes read so far.
        stop: Asked at every chunk; true ends the reading.
    Raises:
        RecordingUnreadable, MappingUnclear, RecordingUnsafe, ReadingStopped: each says what to do.
    """
    file.seek(0)
    form = form_of(file.read(HEAD))
    source = Source(file, progress, stop)
    if form == "espi":
        from deadfront.recordings.espi import read_espi

        return read_espi(source)
    if mapping is None:
        raise MappingUnclear("recordings.mapping.needed")
    mapping.check()
    if form == "parquet":
        from deadfront.recordings.parquet import read_parquet

        return read_parquet(source, file, mapping)
    return read_csv(source, mapping)


def read_csv(source: Source, mapping: Mapping, *, by_lines: bool = False) -> Recording:
    """Read CSV by columns, or line by line where the columns refuse; both say the same.

    Args:
        source: The bytes.
        mapping: What the columns mean, checked.
        by_lines: Read line by line at once.
    Raises:
        RecordingUnreadable: no row could be read, or the file breaks a limit.
    """
    clock = table_of_zone(mapping.zone)
    where = find_places(source, mapping)
    if mapping.across_s:
        source.restart()
        unread = Unread()
        gather, rows = read_across(source, mapping, where, unread, clock)
        return _whole(source, mapping, gather, rows, "lines")
    for way in ("lines",) if by_lines else ("iso", "columns", "lines"):
        source.restart()
        unread = Unread()
        gather = Gatherer(mapping, where, unread)
        reader = "lines" if way == "lines" else "columns"
        try:
            if way == "lines":
                rows = read_lines(source, mapping, where, gather)
            else:
                rows = read_columns(source, mapping, where, gather, iso=way == "iso")
            break
        except Refused:
            continue
    return _whole(source, mapping, gather, rows, reader)


def _whole(source: Source, mapping: Mapping, gather: Gatherer, rows: int, reader: str) -> Recording:
    channels = [channel for channel in gather.channels.values() if channel.pack.count]
    unread = gather.unread
    if not channels:
        raise RecordingUnreadable("recordings.csv.nothing", rows=rows, lines=tuple(unread.lines))
    clock = table_of_zone(mapping.zone)
    return Recording("csv", source.sha256(), mapping, clock, mapping.clock, channels, unread, rows, reader)
