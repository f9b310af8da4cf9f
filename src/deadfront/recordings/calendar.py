"""The recording on the clock of its place: days, hours, months, evenings and weekends."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from deadfront.recordings.answer import DayHours, Month, Occupancy, SourceSigns
from deadfront.recordings.grid import Grid, any_of
from deadfront.recordings.series import Series
from deadfront.recordings.stamps import DAY_S, EPOCH_DAY
from deadfront.recordings.zone import OffsetTable

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

HOUR_S = 3600
BASE_SHARE = 0.05
DIP_SHARE = 0.25
DIP_DAYS = 0.2
LEAST_DAYS = 7


@dataclass(frozen=True, slots=True)
class Blocks:
    """Quarter-hour means, or the readings themselves where these are longer, on the clock of the place.

    Args:
        start_s: UTC (n,).
        local_s: Clock (n,).
        mean: (n,), whole ones only.
        block_s: Length [s].
        marks: (n,).
        number: Which block of the grid each is (n,).
        day: Day on the clock since 1970 (n,).
        hour: Hour on the clock (n,).
    """

    start_s: NDArray[np.int64]
    local_s: NDArray[np.int64]
    mean: NDArray[np.float64]
    block_s: int
    marks: NDArray[np.uint16]
    number: NDArray[np.int64]
    day: NDArray[np.int64]
    hour: NDArray[np.int64]


def blocks_of(grid: Grid, clock: OffsetTable) -> Blocks:
    """The whole blocks of a grid."""
    import numpy as np

    count = grid.per_window
    number = np.arange(len(grid.mean) // count)
    if bool(grid.missing.any()):
        number = number[~any_of(grid.missing, count)[::count]]
    start = grid.start_s[::count][number]
    mean = (np.einsum("ij->i", grid.mean.reshape(-1, count)) / count)[number]
    marks = grid.marks[::count][number]
    if count > 1 and bool((grid.marks > 1).any()):
        marks = any_of(grid.marks, count)[::count][number]
    local = clock.to_local(start)
    day = local // DAY_S
    return Blocks(start, local, mean, grid.cell_s * count, marks, number, day, (local - day * DAY_S) // HOUR_S)


def day_hours(blocks: Blocks) -> tuple[DayHours, ...]:
    """Mean and largest block for each hour of each day that has any."""
    import numpy as np

    if not len(blocks.mean):
        return ()
    days, row = np.unique(blocks.day, return_inverse=True)
    cell = row * 24 + blocks.hour
    counts = np.bincount(cell, minlength=24 * len(days))
    with np.errstate(invalid="ignore", divide="ignore"):
        means = np.bincount(cell, blocks.mean, minlength=24 * len(days)) / counts
    largest = np.full(24 * len(days), -np.inf)
    np.maximum.at(largest, cell, blocks.mean)
    some = (counts > 0).reshape(-1, 24).tolist()
    mean_rows, top_rows = means.reshape(-1, 24).tolist(), largest.reshape(-1, 24).tolist()
    return tuple(
        DayHours(_iso(number), _known(mean, have), _known(top, have))
        for number, have, mean, top in zip(days.tolist(), some, mean_rows, top_rows, strict=True)
    )


def _known(values: list[float], have: list[bool]) -> tuple[float | None, ...]:
    if all(have):
        return tuple(values)
    return tuple(value if there else None for value, there in zip(values, have, strict=True))


def _iso(day: int) -> str:
    return date.fromordinal(day + EPOCH_DAY).isoformat()


def months_of(series: Series, doubtful: NDArray[np.bool_]) -> tuple[Month, ...]:
    """Every calendar month touched, with the share of it recorded."""
    import numpy as np

    ends = series.clock.to_local(series.start_s[[0, -1]]) // DAY_S + EPOCH_DAY
    on, last = (date.fromordinal(int(each)).replace(day=1) for each in ends)
    starts = [on]
    while starts[-1] <= last:
        starts.append((starts[-1] + timedelta(days=31)).replace(day=1))
    local = np.array([(each.toordinal() - EPOCH_DAY) * DAY_S for each in starts], dtype=np.int64)
    edges = np.searchsorted(series.start_s, series.clock.to_utc(local, "first", 1)[0])
    found = []
    for month, low, high in zip(starts, edges, edges[1:], strict=False):
        length = series.length_s[low:high]
        if len(length):
            all_s, bad_s = int(length.sum()), int(length[doubtful[low:high]].sum())
            whole = _month_s(month.year, month.month)
            found.append(Month(month.year, month.month, min(all_s / whole, 1.0), min((all_s - bad_s) / whole, 1.0)))
    return tuple(found)


def _month_s(year: int, month: int) -> int:
    first = date(year, month, 1)
    return ((first + timedelta(days=31)).replace(day=1) - first).days * DAY_S


def occupancy_of(blocks: Blocks) -> Occupancy:
    """Facts on occupancy; see the class for what counts as load."""
    import numpy as np

    count = len(blocks.mean)
    if not count or blocks.block_s > 6 * HOUR_S:
        return Occupancy(None, None, None, None, 0)
    base = float(np.partition(blocks.mean, int(count * BASE_SHARE))[int(count * BASE_SHARE)])
    loaded = (blocks.mean >= 2 * base) & (blocks.mean > 0)
    day, hour = blocks.day, blocks.hour
    evening, evening_days = _by_day(day, loaded, (hour >= 17) & (hour < 23))
    nights, _ = _by_day(day, loaded, hour < 5)
    weekend, _ = _by_day(day, loaded, (day + 3) % 7 >= 5)  # day 0 was a Thursday; Monday is 0
    quiet, longest = 0, 0
    for number, (there, before) in enumerate(
        zip(evening.tolist(), np.diff(evening_days, prepend=-1).tolist(), strict=True)
    ):
        quiet = 0 if there else (quiet + 1 if number and before == 1 else 1)
        longest = max(longest, quiet)
    return Occupancy(base, _share(evening), _share(nights), _share(weekend), longest)


def _by_day(
    day: NDArray[np.int64], loaded: NDArray[np.bool_], chosen: NDArray[np.bool_]
) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
    import numpy as np

    days, where = np.unique(day[chosen], return_inverse=True)
    return np.bincount(where, loaded[chosen], minlength=len(days)) > 0, days


def _share(values: NDArray[np.bool_]) -> float | None:
    return float(values.mean()) if len(values) else None


def source_signs(series: Series, blocks: Blocks) -> SourceSigns:
    """Readings below zero, and days that sink when the sun is up."""
    import numpy as np

    negative = int((series.mean < 0).sum())
    days, where = np.unique(blocks.day, return_inverse=True)
    midday = (blocks.hour >= 10) & (blocks.hour < 14)
    sums = [np.bincount(where[part], blocks.mean[part], minlength=len(days)) for part in (midday, ~midday)]
    counts = [np.bincount(where[part], minlength=len(days)) for part in (midday, ~midday)]
    whole = (counts[0] * blocks.block_s >= 3 * HOUR_S) & (counts[1] * blocks.block_s >= 15 * HOUR_S)
    noon, rest = (total / np.maximum(number, 1) for total, number in zip(sums, counts, strict=True))
    dips = int((whole & (noon <= DIP_SHARE * rest) & (rest > 0)).sum())
    seen = int(whole.sum())
    suspected = negative > 0 or (seen >= LEAST_DAYS and dips >= DIP_DAYS * seen)
    return SourceSigns(negative, seen, dips, suspected)
