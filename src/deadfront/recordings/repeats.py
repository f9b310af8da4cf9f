"""Finding what a measuring chain made up: days copied over a gap, and readings that stand still."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Bools = NDArray[np.bool_]

DAY_S = 86_400
MIN_RUN = 3
CHANCE = 1e-12  # strict, since chance repeats come in clusters
STUCK_S = 3 * 3600
STUCK_RUN = 12
ZERO_S = 24 * 3600
STEPS_ABOVE = 10
SPARSE = 4
MANY = 10_000


def runs(chosen: Bools) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """First places and lengths of the runs of true."""
    import numpy as np

    edges = np.flatnonzero(np.diff(np.concatenate(([False], chosen, [False])).astype(np.int8)))
    return edges[::2], edges[1::2] - edges[::2]


def spread(starts: NDArray[np.int64], lengths: NDArray[np.int64], count: int) -> Bools:
    """True on the places of the given runs."""
    import numpy as np

    change = np.zeros(count + 1, dtype=np.int64)
    np.add.at(change, starts, 1)
    np.add.at(change, starts + lengths, -1)
    return np.cumsum(change[:-1]) > 0


def stretches(start_s: NDArray[np.int64], step_s: int) -> list[tuple[int, int, int]]:
    """Of starts that lie whole steps apart, the stretches without a gap: place in steps, first row, row behind.

    Empty where there are more than can be gone through one by one.
    """
    import numpy as np

    firsts = np.concatenate(([0], np.flatnonzero(np.diff(start_s) != step_s) + 1))
    if len(firsts) > MANY:
        return []
    places = (start_s[firsts] - start_s[0]) // step_s
    lasts = [*firsts[1:].tolist(), len(start_s)]
    return list(zip(places.tolist(), firsts.tolist(), lasts, strict=True))


def repeated_day(
    start_s: NDArray[np.int64], columns: list[NDArray[np.float64]], step_s: int, even: bool = False
) -> Bools:
    """Readings equal to those 24 hours earlier in every column, in runs too long or too lively for chance.

    A run has at least three readings that are not all alike. How likely chance equality is, is taken from the file
    itself: the share of readings equal to the one 23 hours or 25 hours earlier. A run of one column counts if its
    readings change from one to the next so often that chance would all but never make one like it in the whole file,
    since standby that stands still repeats easily; with several columns one change is enough.

    Args:
        start_s: Starts [s] (n,), rising.
        columns: One or more arrays (n,) of the values as they stand in the file; all must be equal.
        step_s: The usual interval [s].
        even: Whether all starts are known to lie whole steps apart.
    """
    import numpy as np

    count = len(start_s)
    none = np.zeros(count, dtype=bool)
    if step_s <= 0 or count * step_s < DAY_S or DAY_S % step_s:
        return none
    same = _same_as(start_s, columns, DAY_S, step_s, even)
    first, length = runs(same)
    first, length = first[length >= MIN_RUN], length[length >= MIN_RUN]
    if not len(first):
        return none
    lively = none.copy()
    for values in columns:
        lively[1:] |= values[1:] != values[:-1]
    other = [_same_as(start_s, columns, DAY_S + shift, step_s, even) & lively for shift in (-3600, 3600)]
    chance = max((int(each.sum()) + 1) / (int(lively.sum()) + 2) for each in other)
    chance = min(max(chance, 1e-6), 0.9)
    changes = np.concatenate(([0], np.cumsum(lively)))
    inner = changes[first + length] - changes[first + 1]
    wanted = np.log(CHANCE / max(count, 1)) / np.log(chance)
    good = inner >= (max(wanted - 1, 1) if len(columns) == 1 else 1)
    return spread(first[good], length[good], count) if bool(good.any()) else none


def _same_as(
    start_s: NDArray[np.int64], columns: list[NDArray[np.float64]], lag_s: int, step_s: int, even: bool
) -> Bools:
    import numpy as np

    count = len(start_s)
    lag = lag_s // step_s
    same = np.zeros(count, dtype=bool)
    if not 0 < lag < count:
        return same
    unbroken = even and int(start_s[-1] - start_s[0]) == (count - 1) * step_s
    if not unbroken and not bool((start_s[lag:] - start_s[:-lag] == lag_s).all()):
        return _same_with_gaps(start_s, columns, lag_s, step_s, even)
    found = columns[0][lag:] == columns[0][:-lag]
    for values in columns[1:]:
        found &= values[lag:] == values[:-lag]
    same[lag:] = found
    return same


def _same_with_gaps(
    start_s: NDArray[np.int64], columns: list[NDArray[np.float64]], lag_s: int, step_s: int, even: bool
) -> Bools:
    """The same where readings are missing: laid on even places where they keep the step, else searched for."""
    import numpy as np

    count, lag = len(start_s), lag_s // step_s
    width = int(start_s[-1] - start_s[0]) // step_s + 1
    if even and lag < width <= SPARSE * count and (parts := stretches(start_s, step_s)):
        alike = np.ones(width - lag, dtype=bool)
        for values in columns:
            laid = np.full(width, np.nan)  # nothing equals what is missing
            for at, first, last in parts:
                laid[at : at + last - first] = values[first:last]
            alike &= laid[lag:] == laid[:-lag]
        alike = np.concatenate((np.zeros(lag, dtype=bool), alike))
        return np.concatenate([alike[at : at + last - first] for at, first, last in parts])
    to = np.minimum(np.searchsorted(start_s, start_s - lag_s), count - 1)
    rows = np.flatnonzero(start_s[to] == start_s - lag_s)
    found = np.ones(len(rows), dtype=bool)
    for values in columns:
        found &= values[rows] == values[to[rows]]
    same = np.zeros(count, dtype=bool)
    same[rows] = found
    return same


def stuck(mean: NDArray[np.float64], step_s: int) -> Bools:
    """Readings that stand still: the same figure for three hours and twelve readings, or zero for a whole day.

    A figure of only a few of the file's own smallest steps says little and is left alone.
    """
    import numpy as np

    count = len(mean)
    least = max(STUCK_RUN, STUCK_S // max(step_s, 1))
    if count < least:
        return np.zeros(count, dtype=bool)
    still = np.concatenate(([False], mean[1:] == mean[:-1]))
    first, length = runs(still)
    first, length = first - 1, length + 1
    long = length >= least
    if not bool(long.any()):
        return np.zeros(count, dtype=bool)
    first, length = first[long], length[long]
    distinct = np.unique(mean)
    steps = np.diff(distinct)
    smallest = float(steps[steps > 1e-9].min(initial=np.inf)) if len(steps) else 0.0
    height = np.abs(mean[first])
    good = height >= STEPS_ABOVE * smallest if np.isfinite(smallest) else height > 0
    good |= (height == 0) & (length * step_s >= ZERO_S)
    return spread(first[good], length[good], count)
