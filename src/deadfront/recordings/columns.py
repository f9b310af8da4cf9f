"""Where in a row each thing of a mapping stands, and the gathering of rows into channels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from deadfront.recordings.mapping import Column, Mapping
from deadfront.recordings.recording import MAX_CHANNELS, Channel, Unread
from deadfront.recordings.trouble import RecordingUnreadable

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NO_TIME = -(2**62)
EMPTY_CELLS = ("", "NaN", "nan", "NA", "N/A", "n/a", "#N/A", "null", "NULL", "None", "-", "--")


@dataclass(frozen=True, slots=True)
class Places:
    """Numbers of the columns, from 0; -1 where the file has none of the kind.

    Args:
        width: Cells in a row.
        start, end, date, clock, clock_end, channel, leg, quality: Where each stands.
        values: The value columns, with their numbers.
    """

    width: int
    values: tuple[tuple[int, Column], ...]
    names: tuple[str, ...]
    start: int = -1
    end: int = -1
    date: int = -1
    clock: int = -1
    clock_end: int = -1
    channel: int = -1
    leg: int = -1
    quality: int = -1


def places(mapping: Mapping, names: Sequence[str], width: int) -> Places:
    """Find the columns of a mapping in a file of these column names.

    Raises:
        RecordingUnreadable: a column is not there.
    """
    clean = [name.strip() for name in names[:width]] + [""] * (width - len(names))
    at = {each.use: _number(each, clean) for each in mapping.columns if each.use not in ("value", "ignore")}
    values = tuple((_number(column, clean), column) for column in mapping.with_use("value"))
    return Places(width, values, tuple(clean), **at)


def _number(column: Column, names: list[str]) -> int:
    if isinstance(column.at, int):
        if 0 <= column.at < len(names):
            return column.at
    elif names.count(column.at.strip()) == 1:
        return names.index(column.at.strip())
    shown = tuple(name for name in names[:20] if name)
    raise RecordingUnreadable("recordings.csv.no_column", name=str(column.at)[:80], names=shown)


@dataclass(slots=True)
class Rows:
    """Some rows of a file as arrays of one length.

    Args:
        time_s: Clock or UTC seconds of the stamp; NO_TIME where it is unreadable.
        length_s: End less start where both are told, else 0.
        values: One array per value column; NaN for an empty cell.
        marks: From a quality column.
        codes: For each row its channel name, as a number into `names`; None without a channel or leg column.
        names: Channel name and leg of each code.
    """

    time_s: NDArray[np.int64]
    length_s: NDArray[np.int64]
    values: list[NDArray[np.float64]]
    marks: NDArray[np.int64]
    codes: NDArray[Any] | None = None
    names: list[tuple[str, str]] = field(default_factory=list)


class Gatherer:
    """Rows in, channels out."""

    def __init__(self, mapping: Mapping, where: Places, unread: Unread) -> None:
        self.mapping, self.where, self.unread = mapping, where, unread
        self.channels: dict[tuple[int, str, str], Channel] = {}

    def take(self, rows: Rows) -> None:
        """Keep every reading that has a time and a value."""
        import numpy as np

        good = rows.time_s != NO_TIME
        all_good = bool(good.all())
        for at, (_, column) in enumerate(self.where.values):
            values = rows.values[at]
            keep = ~np.isnan(values) & good
            whole = all_good and bool(keep.all())
            if rows.codes is None:
                self._keep(at, column, "", "", rows, slice(None) if whole else keep)
                continue
            for code in np.unique(rows.codes):
                name, leg = rows.names[int(code)]
                self._keep(at, column, name, leg, rows, keep & (rows.codes == code))

    def _keep(self, at: int, column: Column, name: str, leg: str, rows: Rows, chosen: Any) -> None:
        pack = self._channel(at, column, name, leg).pack
        pack.add_all(rows.time_s[chosen], rows.length_s[chosen], rows.values[at][chosen], rows.marks[chosen])

    def _channel(self, at: int, column: Column, name: str, leg: str) -> Channel:
        key = (at, name, leg)
        if key not in self.channels:
            if len(self.channels) >= MAX_CHANNELS:
                raise RecordingUnreadable("recordings.too_many_channels", allowed=MAX_CHANNELS)
            mapping = self.mapping
            own = column.channel or self.where.names[self.where.values[at][0]] or str(column.at)
            several = len(self.where.values) > 1
            full = " ".join(part for part in (name, leg, own if several or not (name or leg) else "") if part)
            self.channels[key] = Channel(
                full, column.unit, column.kind, column.leg or (leg if leg in ("L1", "L2", "both") else ""),
                utc=mapping.stamp_form != "written" or mapping.offsets == "written" or mapping.zone == "UTC",
                ends=mapping.stamps == "end" and not self._has_start_and_end() and not mapping.across_s,
                interval_s=mapping.across_s or mapping.interval_s,
            )  # fmt: skip
        return self.channels[key]

    def _has_start_and_end(self) -> bool:
        where = self.where
        return (where.start >= 0 and where.end >= 0) or where.clock_end >= 0
