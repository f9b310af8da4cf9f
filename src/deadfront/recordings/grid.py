"""A series laid on even cells of time, so that windows can be summed; what is missing stays missing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from deadfront.recordings.answer import WINDOW_S
from deadfront.recordings.marks import DOUBTFUL, Mark
from deadfront.recordings.repeats import spread
from deadfront.recordings.series import Series

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MINUTE_S = 60
BREAK_S = 86_400


@dataclass(frozen=True, slots=True)
class Grid:
    """Cells of one length in order of time; stretches are parted by a whole window of missing cells.

    Args:
        cell_s: Length of a cell [s].
        per_window: Cells in 15 minutes; 1 where a cell is longer or does not divide them.
        start_s: Starts of the cells (n,), n a multiple of per_window.
        mean: Means (n,); 0 where missing.
        missing: (n,).
        marks: Bit masks (n,); 0 where missing.
        even: Whether every reading lies whole in one cell; else readings were shared out as if even over their length.
        longest_s: Longest reading in it [s].
    """

    cell_s: int
    per_window: int
    start_s: NDArray[np.int64]
    mean: NDArray[np.float64]
    missing: NDArray[np.bool_]
    marks: NDArray[np.uint16]
    even: bool = True
    longest_s: int = 0

    @property
    def fine(self) -> bool:
        """Whether a whole number of cells makes up 15 minutes."""
        return WINDOW_S % self.cell_s == 0

    def doubtful(self) -> NDArray[np.bool_]:
        """Cells that rest on a doubtful reading."""
        found: NDArray[np.bool_] = (self.marks & int(DOUBTFUL)) != 0
        return found


def grid_of(series: Series) -> Grid:
    """Lay a series on cells: of its own step where it keeps one, of a minute where its readings are finer.

    Readings longer than their step by half and longer than 15 minutes cannot be told by quarter hour: they are left
    out, and their time is missing. Shorter ones are taken as even over their length.
    """
    import numpy as np

    cell = cell_length(series.step_s)
    per_window = WINDOW_S // cell if WINDOW_S % cell == 0 else 1
    if len(series.mean) and bool((series.length_s == cell).all()) and bool((np.diff(series.start_s) == cell).all()):
        return _unbroken(series, cell, per_window)
    usable = series.length_s <= max(cell + cell // 2, WINDOW_S if cell < WINDOW_S else 0)
    start, length = series.start_s[usable], series.length_s[usable]
    mean, marks = series.mean[usable], series.marks[usable]
    if not len(start):
        none = np.zeros(0, dtype=np.int64)
        return Grid(cell, per_window, none, none.astype(float), none.astype(bool), none.astype(np.uint16))
    phase = int(start[0]) % cell
    even = bool(((start - phase) % cell == 0).all()) and bool((length == cell).all())
    layout = _layout(start - phase * even, length, cell, per_window)
    if even:
        return _even(layout, phase, start, mean, marks)
    step = max(series.step_s, 1)
    inside = cell % step == 0 and bool((start % step == 0).all()) and bool((length == step).all())
    return replace(_shared_out(layout, (start, length, mean, marks)), even=inside, longest_s=int(length.max()))


def _unbroken(series: Series, cell: int, per_window: int) -> Grid:
    """The cells of readings without any gap: themselves, with missing cells up to whole blocks at both ends."""
    import numpy as np

    count = len(series.mean)
    before = int(series.start_s[0]) // cell % per_window
    after = -(before + count) % per_window
    start = int(series.start_s[0]) - before * cell + cell * np.arange(before + count + after)
    missing = np.zeros(len(start), dtype=bool)
    missing[:before] = missing[before + count :] = True
    around = (before, after)
    return Grid(cell, per_window, start, np.pad(series.mean, around), missing, np.pad(series.marks, around))


def cell_length(step_s: int) -> int:
    """Cells for readings of this step [s]: a minute at least, a divisor of 15 minutes where the step is one."""
    return max(step_s, MINUTE_S)


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where each stretch of blocks stands among the cells."""

    cell_s: int
    per_window: int
    first: NDArray[np.int64]
    offset: NDArray[np.int64]
    start_s: NDArray[np.int64]

    def at(self, time_s: NDArray[np.int64]) -> NDArray[np.int64]:
        """Seconds along the cells, stretches joined, of instants inside them."""
        import numpy as np

        block_s = self.cell_s * self.per_window
        block = time_s // block_s
        stretch = np.searchsorted(self.first, block, side="right") - 1
        return (self.offset[stretch] + block - self.first[stretch]) * block_s + time_s % block_s


def _layout(start: NDArray[np.int64], length: NDArray[np.int64], cell: int, per_window: int) -> _Layout:
    import numpy as np

    block_s = cell * per_window
    first, last = start // block_s, np.maximum.accumulate((start + length - 1) // block_s)
    far = np.flatnonzero(first[1:] - last[:-1] > max(BREAK_S // block_s, 2)) + 1
    firsts = first[np.concatenate(([0], far))]
    lasts = last[np.concatenate((far - 1, [len(start) - 1]))]
    counts = lasts - firsts + 2  # with the one block that parts it from the next
    offset = np.concatenate(([0], np.cumsum(counts)[:-1]))
    blocks = np.arange(int(counts.sum())) - np.repeat(offset - firsts, counts)
    cells = (blocks[:, None] * block_s + np.arange(per_window) * cell).ravel()
    return _Layout(cell, per_window, firsts, offset, cells)


def _even(
    layout: _Layout, phase: int, start: NDArray[np.int64], mean: NDArray[np.float64], marks: NDArray[np.uint16]
) -> Grid:
    import numpy as np

    count = len(layout.start_s)
    at = layout.at(start - phase) // layout.cell_s
    means, missing = np.zeros(count), np.ones(count, dtype=bool)
    bits = np.zeros(count, dtype=np.uint16)
    means[at], missing[at], bits[at] = mean, False, marks
    return Grid(layout.cell_s, layout.per_window, layout.start_s + phase, means, missing, bits)


def _shared_out(
    layout: _Layout,
    arrays: tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64], NDArray[np.uint16]],
) -> Grid:
    """Energy of each reading shared out over the cells it lies in; an overlapped reading ends where the next begins."""
    import numpy as np

    start, length, mean, marks = arrays
    count, cell = len(layout.start_s), layout.cell_s
    begin = layout.at(start)
    end = begin + length
    end[:-1] = np.minimum(end[:-1], begin[1:])
    knots = np.stack((begin, end), axis=1).ravel()
    edges = np.arange(count + 1) * cell

    def along(amount: NDArray[np.float64]) -> NDArray[np.float64]:
        sums = np.concatenate(([0.0], np.cumsum(amount)))
        steps = np.stack((sums[:-1], sums[1:]), axis=1).ravel()
        shares: NDArray[np.float64] = np.diff(np.interp(edges, knots, steps))
        return shares

    covered = along((end - begin).astype(np.float64))
    missing = covered < cell * 0.999
    means = np.where(missing, 0.0, along(mean * (end - begin)) / np.where(missing, 1.0, covered))
    bits = np.zeros(count, dtype=np.uint16)
    first, last = begin // cell, np.maximum(end - 1, begin) // cell
    for mark in Mark:
        chosen = (marks & int(mark)) != 0
        if bool(chosen.any()):
            bits[spread(first[chosen], last[chosen] - first[chosen] + 1, count)] |= int(mark)
    bits[missing] = 0
    return Grid(cell, layout.per_window, layout.start_s, means, missing, bits)
