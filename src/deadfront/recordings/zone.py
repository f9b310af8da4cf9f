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
        at = np.searchsorted(np.array(self.changes_s), utc_s, side="right")
        local: Ints = utc_s + np.array(self.offsets_s)[at]
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
        utc = local_s - offsets[np.searchsorted(ends, local_s, side="right")]
        if not len(local_s):
            return utc, doubt
        low, high = local_s.min(), local_s.max()
        for change, before, after in zip(self.changes_s, self.offsets_s, self.offsets_s[1:], strict=False):
            if change + max(before, after) < low or change + min(before, after) > high:
                continue
            odd = (local_s >= change + min(before, after)) & (local_s < change + max(before, after))
            rows = np.flatnonzero(odd)
            if after > before or clock == "first":
                doubt[rows] |= after > before
                continue
            second = rows if clock == "second" else _second_pass(local_s, rows, step_s, before - after)
            utc[second] += before - after
            doubt[rows] |= clock == "changes" and not len(second)
        return utc, doubt


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
