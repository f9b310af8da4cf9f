"""The clock of a place against UTC: when it changes, and what an hour that comes twice, or never, stands for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from deadfront.recordings.stamps import DAY_S, EPOCH_DAY, FIRST_YEAR, LAST_YEAR
from deadfront.recordings.trouble import RecordingUnreadable

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

FEW_FALLS = 1_000


@dataclass(frozen=True, slots=True)
class OffsetTable:
    """Offsets from UTC of one place: offsets_s[k] holds until changes_s[k], the last one ever after.

    Args:
        changes_s: Instants of change, seconds since 1970 UTC, rising.
        offsets_s: Offsets [s], one more than changes.
    """

    changes_s: tuple[int, ...]
    offsets_s: tuple[int, ...]

    def to_local(self, utc_s: Ints) -> Ints:
        """What the clock reads at these instants."""
        import numpy as np

        if not self.changes_s:
            return utc_s + self.offsets_s[0]
        changes, offsets = np.array(self.changes_s), np.array(self.offsets_s)
        if not len(utc_s):
            return utc_s
        first, last = np.searchsorted(changes, [int(utc_s.min()), int(utc_s.max())], side="right")
        local: Ints = utc_s + offsets[first:][np.searchsorted(changes[first:last], utc_s, side="right")]
        return local

    def to_utc(self, local_s: Ints, clock: str, step_s: int) -> tuple[Ints, Bools]:
        """The instants of clock readings in file order, and which of them stay in doubt.

        An hour that comes twice is the first pass until the readings step back. With one pass alone in the file its
        readings stay in doubt. An hour that the clock leaps over is read without the leap, and in doubt.

        Args:
            local_s: Clock readings, in the order of time as the file tells it.
            clock: "changes", or "first" or "second" where the hour that comes twice was said to be one of them, or
                "standard" for a clock that never changes.
            step_s: Usual step between readings [s].
        """
        import numpy as np

        doubt = np.zeros(len(local_s), dtype=bool)
        if clock == "standard" or not self.changes_s:
            return local_s - (min(self.offsets_s) if clock == "standard" else self.offsets_s[0]), doubt
        changes, offsets = np.array(self.changes_s), np.array(self.offsets_s)
        ends = changes + np.maximum(offsets[:-1], offsets[1:])
        if not len(local_s):
            return local_s, doubt
        low, high = int(local_s.min()), int(local_s.max())
        first, last = (int(at) for at in np.searchsorted(ends, [low, high], side="right"))
        rising = _Rising(local_s)
        utc = local_s - int(offsets[first])
        for at in range(first, last):
            rising.shift(utc, int(ends[at]), int(offsets[at] - offsets[at + 1]))
        near = (ends >= low) & (changes + np.minimum(offsets[:-1], offsets[1:]) <= high)
        for at in np.flatnonzero(near).tolist():
            change, before, after = self.changes_s[at], self.offsets_s[at], self.offsets_s[at + 1]
            rows = rising.rows(change + min(before, after), change + max(before, after))
            if after > before or clock == "first":
                doubt[rows] |= after > before
                continue
            second = rows if clock == "second" else _second_pass(local_s, rows, step_s, before - after)
            utc[second] += before - after
            doubt[rows] |= clock == "changes" and not len(second)
        return utc, doubt


class _Rising:
    """Clock readings as stretches that rise, so that a span of the clock is found without looking at every one."""

    def __init__(self, local_s: Ints) -> None:
        import numpy as np

        self._local_s = local_s
        falls = np.flatnonzero(local_s[1:] < local_s[:-1]) + 1
        edges = [0, *falls.tolist(), len(local_s)] if len(falls) <= FEW_FALLS else []
        self._stretches = list(zip(edges, edges[1:], strict=False))

    def rows(self, first_s: int, last_s: int) -> Ints:
        """The rows from first_s, included, to last_s, not included, in order."""
        import numpy as np

        if not self._stretches:
            return np.flatnonzero((self._local_s >= first_s) & (self._local_s < last_s))
        found = [np.zeros(0, dtype=np.int64)]
        for low, high in self._stretches:
            start, stop = self._local_s[low:high].searchsorted([first_s, last_s])
            found.append(np.arange(low + int(start), low + int(stop)))
        return np.concatenate(found)

    def shift(self, utc: Ints, first_s: int, by_s: int) -> None:
        """Add to the rows from first_s on."""
        if not self._stretches:
            utc += (self._local_s >= first_s) * by_s
        for low, high in self._stretches:
            start = low + int(self._local_s[low:high].searchsorted(first_s))
            utc[start:high] += by_s


def _second_pass(local_s: Ints, rows: Ints, step_s: int, fold_s: int) -> Ints:
    """The rows of the hour that comes twice from where the clock steps back."""
    import numpy as np

    if len(rows) < 2:
        return rows[:0]
    steps = np.diff(local_s[rows])
    back = np.flatnonzero(steps < 0)
    if not len(back) and step_s >= fold_s:
        back = np.flatnonzero(steps == 0)
    return rows[back[0] + 1 :] if len(back) else rows[:0]


def fixed(offset_s: int) -> OffsetTable:
    """A clock that never changes."""
    return OffsetTable((), (offset_s,))


@lru_cache(maxsize=64)
def table_of_zone(name: str) -> OffsetTable:
    """The clock of a place by its IANA name, from 1990 to 2100; "UTC" never changes.

    Raises:
        RecordingUnreadable: no such place is known here.
    """
    if name == "UTC":
        return fixed(0)
    try:
        zone = ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise RecordingUnreadable("recordings.zone.unknown", name=name[:80]) from None

    def offset(at_s: int) -> int:
        shift = datetime.fromtimestamp(at_s, UTC).astimezone(zone).utcoffset() or timedelta()
        return round(shift.total_seconds())

    first, last = _year_start(FIRST_YEAR), _year_start(LAST_YEAR + 1)
    changes: list[int] = []
    offsets = [offset(first)]
    for day in range(first, last, 7 * DAY_S):
        if offset(day + 7 * DAY_S) != offsets[-1]:
            changes.append(_change(offset, day, day + 7 * DAY_S))
            offsets.append(offset(changes[-1]))
    return OffsetTable(tuple(changes), tuple(offsets))


def _change(offset, low: int, high: int) -> int:  # type: ignore[no-untyped-def]
    start = offset(low)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if offset(middle) == start else (low, middle)
    return high


def _year_start(year: int) -> int:
    return (date(year, 1, 1).toordinal() - EPOCH_DAY) * DAY_S


@lru_cache(maxsize=64)
def table_of_rules(offset_s: int, dst_offset_s: int, start_rule: int, end_rule: int) -> OffsetTable:
    """The clock told by an ESPI time block: offsets and the two coded rules, 1990 to 2100.

    A rule that is zero or names no day means a clock that never changes.

    Source:
        NAESB REQ.21, DstRuleType: bits 28-31 month, 25-27 which week, 20-24 day of month, 17-19 day of week (Monday
        1), 12-16 hour, 0-11 second; from memory, held against the two rules of the USA in the tests.
    """
    changes: list[tuple[int, int]] = []
    for year in range(FIRST_YEAR, LAST_YEAR + 1):
        start, end = _rule_in(year, start_rule), _rule_in(year, end_rule)
        if not dst_offset_s or start is None or end is None:
            return fixed(offset_s)
        changes.append((start - offset_s, offset_s + dst_offset_s))
        changes.append((end - offset_s - dst_offset_s, offset_s))
    changes.sort()
    first = offset_s if changes[0][1] != offset_s else offset_s + dst_offset_s
    return OffsetTable(tuple(at for at, _ in changes), (first, *(offset for _, offset in changes)))


def _rule_in(year: int, rule: int) -> int | None:
    """Clock seconds since 1970 at which a coded rule falls in a year."""
    month, which, day = rule >> 28 & 15, rule >> 25 & 7, rule >> 20 & 31
    weekday, hour, second = rule >> 17 & 7, rule >> 12 & 31, rule & 4095
    if not 1 <= month <= 12 or hour > 24:
        return None
    first = date(year, month, 1)
    length = ((date(year + 1, 1, 1) if month == 12 else date(year, month + 1, 1)) - first).days
    if weekday == 0:
        chosen = day
    elif which == 1:
        chosen = max(day, 1) + (weekday - 1 - date(year, month, min(max(day, 1), length)).weekday()) % 7
    elif which in (2, 3, 4, 5):
        chosen = 1 + (weekday - 1 - first.weekday()) % 7 + 7 * (which - 2)
    else:
        last = first + timedelta(days=length - 1)
        chosen = length - (last.weekday() - (weekday - 1)) % 7
    if not 1 <= chosen <= length:
        return None
    return (date(year, month, chosen).toordinal() - EPOCH_DAY) * DAY_S + hour * 3600 + second
