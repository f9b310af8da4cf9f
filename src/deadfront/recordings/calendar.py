"""The recording on the clock of its place: days, hours, months, evenings and weekends."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from deadfront.recordings.answer import DayHours, Month, Occupancy, SourceSigns
from deadfront.recordings.grid import Grid
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
        doubtful: (n,).
        low, high: Smallest and largest reading within (n,).
        marks: (n,).
    """

    start_s: NDArray[np.int64]
    local_s: NDArray[np.int64]
    mean: NDArray[np.float64]
    block_s: int
    doubtful: NDArray[np.bool_]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    marks: NDArray[np.uint16]


def blocks_of(grid: Grid, clock: OffsetTable) -> Blocks:
    """The whole blocks of a grid."""
    import numpy as np

    count = grid.per_window
    means = grid.mean.reshape(-1, count)
    whole = ~grid.missing.reshape(-1, count).any(axis=1)
    means = means[whole]
    start = grid.start_s[::count][whole]
    marks = np.bitwise_or.reduce(grid.marks.reshape(-1, count)[whole], axis=1)
    doubtful = np.asarray(grid.doubtful().reshape(-1, count)[whole].any(axis=1))
    mean = means.sum(axis=1) / count
    return Blocks(
        start, clock.to_local(start), mean, grid.cell_s * count, doubtful,
        means.min(axis=1, initial=np.inf), means.max(axis=1, initial=-np.inf), marks,
    )  # fmt: skip


def day_hours(blocks: Blocks) -> tuple[DayHours, ...]:
    """Mean and largest block for each hour of each day that has any."""
    import numpy as np

    if not len(blocks.mean):
        return ()
    day, hour = blocks.local_s // DAY_S, blocks.local_s % DAY_S // HOUR_S
    days, row = np.unique(day, return_inverse=True)
    cell = row * 24 + hour
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
    return tuple(value if there else None for value, there in zip(values, have, strict=True))


def _iso(day: int) -> str:
    return date.fromordinal(day + EPOCH_DAY).isoformat()


def months_of(series: Series, doubtful: NDArray[np.bool_]) -> tuple[Month, ...]:
    """Every calendar month touched, with the share of it recorded."""
    import numpy as np

    local = series.clock.to_local(series.start_s)
    days, where = np.unique(local // DAY_S, return_inverse=True)
    seconds = np.bincount(where, series.length_s)
    good = np.bincount(where, np.where(doubtful, 0, series.length_s))
    found: dict[tuple[int, int], list[float]] = {}
    for day, all_s, good_s in zip(days.tolist(), seconds.tolist(), good.tolist(), strict=True):
        on = date.fromordinal(day + EPOCH_DAY)
        sums = found.setdefault((on.year, on.month), [0.0, 0.0])
        sums[0] += all_s
        sums[1] += good_s
    return tuple(
        Month(year, month, min(sums[0] / _month_s(year, month), 1.0), min(sums[1] / _month_s(year, month), 1.0))
        for (year, month), sums in found.items()
    )


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
    day, hour = blocks.local_s // DAY_S, blocks.local_s % DAY_S // HOUR_S
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
    day, hour = blocks.local_s // DAY_S, blocks.local_s % DAY_S // HOUR_S
    days, where = np.unique(day, return_inverse=True)
    midday = (hour >= 10) & (hour < 14)
    sums = [np.bincount(where[part], blocks.mean[part], minlength=len(days)) for part in (midday, ~midday)]
    counts = [np.bincount(where[part], minlength=len(days)) for part in (midday, ~midday)]
    whole = (counts[0] * blocks.block_s >= 3 * HOUR_S) & (counts[1] * blocks.block_s >= 15 * HOUR_S)
    noon, rest = (total / np.maximum(number, 1) for total, number in zip(sums, counts, strict=True))
    dips = int((whole & (noon <= DIP_SHARE * rest) & (rest > 0)).sum())
    seen = int(whole.sum())
    suspected = negative > 0 or (seen >= LEAST_DAYS and dips >= DIP_DAYS * seen)
    return SourceSigns(negative, seen, dips, suspected)
