"""Reading CSV line by line: slow, and forgiving of what the reader of columns refuses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice

from deadfront.recordings import stamps
from deadfront.recordings.columns import EMPTY_CELLS, NO_TIME, Gatherer, Places, Rows
from deadfront.recordings.csv_head import rows_of, text_lines
from deadfront.recordings.mapping import Mapping
from deadfront.recordings.marks import mark_of_word
from deadfront.recordings.numbers import read_number
from deadfront.recordings.source import Source

BATCH = 16_384


def row_time(cell: dict[str, str], mapping: Mapping) -> tuple[int, int]:
    """Time and length of a row from its cells by use; (NO_TIME, 0) where the stamp is unreadable."""
    if "date" in cell:
        return _dated(cell, mapping)
    first = one_time(cell["start"], mapping) if "start" in cell else NO_TIME
    last = one_time(cell["end"], mapping) if "end" in cell else NO_TIME
    if "start" in cell and "end" in cell:
        return (first, max(last - first, 0) if NO_TIME not in (first, last) else 0)
    return (first if "start" in cell else last), 0


def one_time(text: str, mapping: Mapping) -> int:
    """Seconds of one written or counted stamp; UTC where it is counted or carries its offset."""
    if mapping.stamp_form != "written":
        seconds = stamps.read_epoch(text, mapping.stamp_form)
        return NO_TIME if seconds is None else seconds
    found = stamps.read_stamp(text, mapping.date_order)
    if found is None:
        return NO_TIME
    return settle(found[0], found[1], mapping)


def settle(local_s: int, offset_s: int | None, mapping: Mapping) -> int:
    """Clock seconds, or UTC where stamps carry their offset; unreadable where one is written against the mapping."""
    if mapping.offsets == "written" or (mapping.zone == "UTC" and offset_s is not None):
        return NO_TIME if offset_s is None else local_s - offset_s
    return local_s if offset_s is None else NO_TIME


def _dated(cell: dict[str, str], mapping: Mapping) -> tuple[int, int]:
    day = stamps.read_date(stamps.split_stamp(cell["date"])[0], mapping.date_order)
    clock = stamps.read_clock(cell["clock"])
    if day is None or clock is None:
        return NO_TIME, 0
    first = settle(day * stamps.DAY_S + clock.seconds, clock.offset_s, mapping)
    end = stamps.read_clock(cell["clock_end"]) if "clock_end" in cell else None
    return first, 0 if end is None else (end.seconds - clock.seconds) % stamps.DAY_S


@dataclass(slots=True)
class _Batch:
    times: list[int] = field(default_factory=list)
    lengths: list[int] = field(default_factory=list)
    values: list[list[float]] = field(default_factory=list)
    marks: list[int] = field(default_factory=list)
    codes: list[int] = field(default_factory=list)


def read_lines(source: Source, mapping: Mapping, where: Places, gather: Gatherer) -> int:
    """Read all rows into the gatherer; how many rows there were."""
    lines = text_lines(source, mapping.encoding)
    for _ in islice(lines, mapping.first_line):
        pass
    rows, count = rows_of(lines, mapping), 0
    uses = {use: getattr(where, use) for use in ("start", "end", "date", "clock", "clock_end")}
    uses = {use: at for use, at in uses.items() if at >= 0}
    names: dict[tuple[str, str], int] = {}
    while batch := list(islice(rows, BATCH)):
        count += len(batch)
        gather.take(_batch(iter(batch), mapping, where, gather, uses, names))
    return count


def _batch(
    rows: Iterator[tuple[int, list[str]]], mapping: Mapping, where: Places, gather: Gatherer, uses: dict[str, int],
    names: dict[tuple[str, str], int],
) -> Rows:  # fmt: skip
    found = _Batch(values=[[] for _ in where.values])
    for line, row in rows:
        if len(row) != where.width:
            gather.unread.row(line)
            continue
        time, length = row_time({use: row[at] for use, at in uses.items()}, mapping)
        if time == NO_TIME:
            gather.unread.row(line)
            continue
        found.times.append(time)
        found.lengths.append(length)
        for (at, column), values in zip(where.values, found.values, strict=True):
            values.append(_value(row[at], column.unit, mapping, gather, line))
        found.marks.append(int(mark_of_word(row[where.quality])) if where.quality >= 0 else 0)
        key = (_cell(row, where.channel), _cell(row, where.leg))
        found.codes.append(names.setdefault(key, len(names)))
    return _rows(found, where, names)


def _cell(row: list[str], at: int) -> str:
    return row[at].strip()[:120] if at >= 0 else ""


def _value(text: str, unit: str, mapping: Mapping, gather: Gatherer, line: int) -> float:
    if text.strip() in EMPTY_CELLS:
        return float("nan")
    value = read_number(text, mapping.decimal, mapping.thousands, unit)
    if value is None:
        gather.unread.cells += 1
        return float("nan")
    return value


def _rows(found: _Batch, where: Places, names: dict[tuple[str, str], int]) -> Rows:
    import numpy as np

    coded = where.channel >= 0 or where.leg >= 0
    return Rows(
        np.array(found.times, dtype=np.int64), np.array(found.lengths, dtype=np.int64),
        [np.array(values, dtype=np.float64) for values in found.values], np.array(found.marks, dtype=np.int64),
        np.array(found.codes, dtype=np.int64) if coded else None, list(names),
    )  # fmt: skip
