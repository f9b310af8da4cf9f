"""Tables with a day in each row and its intervals side by side, as many utilities hand them out.

The columns are the intervals of the day in order, from midnight on the clock of the place. On the two days of the year
on which the clock changes:

- Spring: where the hour that the clock leaps over is empty, the rest stand at their clock times. Where it is filled and
  the end of the row is empty instead, the row runs on without the leap, and so it is read. Filled all through, the hour
  that never was is kept and marked in doubt.
- Fall: with 24 hours in the row the hour that comes twice stands once; it is taken as the first pass and marked in
  doubt (unless the mapping says which of the two it is), and the other pass is missing. A row with more than 24 hours
  filled is left out and counted: whether the hour more stands in its place or at the end cannot be told.

On any other day there is no such hour: zeros in its cells are passed over, and a row with a figure there is left out
and counted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from typing import TYPE_CHECKING

from deadfront.recordings.columns import EMPTY_CELLS, NO_TIME, Gatherer, Places, Rows
from deadfront.recordings.csv_head import rows_of, text_lines
from deadfront.recordings.csv_lines import row_time
from deadfront.recordings.mapping import DAY_S, Mapping
from deadfront.recordings.marks import mark_of_word
from deadfront.recordings.numbers import read_number
from deadfront.recordings.recording import Unread
from deadfront.recordings.source import Source
from deadfront.recordings.zone import OffsetTable

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

BATCH_CELLS = 65_536
Gathered = tuple[Gatherer, int]


def read_across(source: Source, mapping: Mapping, where: Places, unread: Unread, clock: OffsetTable) -> Gathered:
    """Read all rows of a CSV file; the gatherer and how many rows there were."""
    lines = text_lines(source, mapping.encoding)
    for _ in islice(lines, mapping.first_line):
        pass
    return gather_days(rows_of(lines, mapping), mapping, where, unread, clock)


def gather_days(
    rows: Iterator[tuple[int, list[str]]], mapping: Mapping, where: Places, unread: Unread, clock: OffsetTable
) -> Gathered:
    """Rows of cells, each with its line, as one channel, or one for each name in a column of channels or legs."""
    gather = Gatherer(mapping, replace(where, values=where.values[:1]), unread)
    days, count = _Days(mapping, where, unread, clock), 0
    while batch := list(islice(rows, max(BATCH_CELLS // len(where.values), 1))):
        count += len(batch)
        gather.take(days.rows_of(batch))
    return gather, count


class _Days:
    """Rows of days as readings."""

    def __init__(self, mapping: Mapping, where: Places, unread: Unread, clock: OffsetTable) -> None:
        self.mapping, self.where, self.unread = mapping, where, unread
        self.step_s = mapping.across_s
        self.whole = DAY_S // self.step_s
        changing = mapping.clock != "standard" and mapping.zone != "UTC"
        self.leaps, self.falls = changes_of(clock) if changing else ({}, set())
        self.names: dict[tuple[str, str], int] = {}

    def rows_of(self, batch: list[tuple[int, list[str]]]) -> Rows:
        """The readings of some rows."""
        import numpy as np

        times: list[NDArray[np.int64]] = [np.zeros(0, dtype=np.int64)]
        values: list[float] = []
        marks: list[int] = []
        codes: list[int] = []
        where = self.where
        for line, row in batch:
            found = self._day(row, line)
            if found is None:
                self.unread.row(line)
                continue
            times.append(found[0])
            values += found[1]
            mark = int(mark_of_word(row[where.quality])) if where.quality >= 0 else 0
            key = tuple(row[at].strip()[:120] if at >= 0 else "" for at in (where.channel, where.leg))
            marks += [mark] * self.whole
            codes += [self.names.setdefault((key[0], key[1]), len(self.names))] * self.whole
        coded = where.channel >= 0 or where.leg >= 0
        time = np.concatenate(times)
        return Rows(
            time, np.zeros(len(time), dtype=np.int64), [np.array(values, dtype=np.float64)],
            np.array(marks, dtype=np.int64), np.array(codes, dtype=np.int64) if coded else None, list(self.names),
        )  # fmt: skip

    def _day(self, row: list[str], line: int) -> tuple[NDArray[np.int64], list[float]] | None:
        """Times and values of one row; None where it cannot be told what they are."""
        import numpy as np

        where = self.where
        if len(row) != where.width:
            return None
        midnight, _ = row_time({"start": row[where.start]}, self.mapping)
        cells = [row[at] for at, _ in where.values]
        filled = [cell.strip() not in EMPTY_CELLS for cell in cells]
        if midnight == NO_TIME or midnight % DAY_S or self._more_than_a_day(cells, filled, midnight // DAY_S):
            return None
        times = midnight + self.step_s * np.arange(self.whole)
        if (leap := self.leaps.get(midnight // DAY_S)) is not None:
            at, lost = leap[0] // self.step_s, -(-leap[1] // self.step_s)
            if all(filled[: self.whole - lost]) and not any(filled[self.whole - lost : self.whole]):
                times[at:] += leap[1]  # the row runs on without the leap; its last cells are empty
        return times, [self._value(cell, has) for cell, has in zip(cells[: self.whole], filled, strict=False)]

    def _more_than_a_day(self, cells: list[str], filled: list[bool], day: int) -> bool:
        """Whether a row holds figures for more than 24 hours."""
        beyond = [cell for cell, has in zip(cells[self.whole :], filled[self.whole :], strict=True) if has]
        if day in self.falls:
            return bool(beyond)
        return any(read_number(cell, self.mapping.decimal, self.mapping.thousands) != 0 for cell in beyond)

    def _value(self, cell: str, filled: bool) -> float:
        if not filled:
            return float("nan")
        unit = self.where.values[0][1].unit
        value = read_number(cell, self.mapping.decimal, self.mapping.thousands, unit)
        if value is None:
            self.unread.cells += 1
            return float("nan")
        return value


def changes_of(clock: OffsetTable) -> tuple[dict[int, tuple[int, int]], set[int]]:
    """Days since 1970 on which a clock leaps ahead, each with the seconds from midnight and by how much; and the days
    on which it falls back."""
    leaps, falls = {}, set()
    for change, before, after in zip(clock.changes_s, clock.offsets_s, clock.offsets_s[1:], strict=False):
        day, second = divmod(change + before, DAY_S)
        if after > before:
            leaps[day] = (second, after - before)
        else:
            falls.add((change + after) // DAY_S)
    return leaps, falls
