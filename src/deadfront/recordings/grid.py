"""A series laid on even cells of time, so that windows can be summed; what is missing stays missing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from deadfront.recordings.answer import WINDOW_S
from deadfront.recordings.marks import DOUBTFUL, Mark
from deadfront.recordings.repeats import spread, stretches
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
    if series.unbroken and cell == series.step_s:
        return _unbroken(series, cell, per_window)
    if series.even and cell == series.step_s:
        return _even(series, cell, per_window)
    usable = series.length_s <= max(cell + cell // 2, WINDOW_S if cell < WINDOW_S else 0)
    start, length, mean, marks = series.start_s, series.length_s, series.mean, series.marks
    if not bool(usable.all()):
        start, length, mean, marks = start[usable], length[usable], mean[usable], marks[usable]
    if not len(start):
        none = np.zeros(0, dtype=np.int64)
        return Grid(cell, per_window, none, none.astype(float), none.astype(bool), none.astype(np.uint16))
    steps = np.diff(start)
    if bool((length == cell).all()) and bool((steps > 0).all()) and bool((steps % cell == 0).all()):
        alike = replace(series, start_s=start, length_s=length, mean=mean, marks=marks, step_s=cell, even=True)
        return _unbroken(alike, cell, per_window) if alike.unbroken else _even(alike, cell, per_window)
    layout = _layout(start, length, cell, per_window)
    step = max(series.step_s, 1)
    inside = cell % step == 0 and bool((start % step == 0).all()) and bool((length == step).all())
    return replace(_shared_out(layout, (start, length, mean, marks)), even=inside, longest_s=int(length.max()))


def any_of(values: NDArray[Any], count: int) -> NDArray[Any]:
    """The bits of `count` adjoining values together, one for each that has enough behind it."""
    found, width = values, 1
    while width < count and len(found):
        more = min(width, count - width)
        found = found[:-more] | found[more:]
        width += more
    return found


def _unbroken(series: Series, cell: int, per_window: int) -> Grid:
    """The cells of readings without any gap: themselves, with missing cells up to whole blocks at both ends."""
    import numpy as np

    count = len(series.mean)
    before = int(series.start_s[0]) // cell % per_window
    after = -(before + count) % per_window
    first = int(series.start_s[0]) - before * cell
    start = np.arange(first, first + cell * (before + count + after), cell)
    missing = np.zeros(len(start), dtype=bool)
    mean, marks = np.zeros(len(start)), np.zeros(len(start), dtype=np.uint16)
    missing[:before] = missing[before + count :] = True
    mean[before : before + count], marks[before : before + count] = series.mean, series.marks
    return Grid(cell, per_window, start, mean, missing, marks)


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
        moved = self.offset - self.first
        if len(moved) == 1:
            return time_s + int(moved[0]) * block_s
        return time_s + moved[np.searchsorted(self.first, block, side="right") - 1] * block_s


def _layout(start: NDArray[np.int64], length: NDArray[np.int64], cell: int, per_window: int) -> _Layout:
    import numpy as np

    block_s = cell * per_window
    most = max(BREAK_S // block_s, 2)
    if bool((start[1:] - start[:-1] > (most - 1) * block_s).any()):
        first, last = start // block_s, np.maximum.accumulate((start + length - 1) // block_s)
        far = np.flatnonzero(first[1:] - last[:-1] > most) + 1
        firsts = first[np.concatenate(([0], far))]
        lasts = last[np.concatenate((far - 1, [len(start) - 1]))]
    else:  # no break is long enough to part stretches
        firsts, lasts = start[:1] // block_s, np.array([(start + length - 1).max() // block_s])
    counts = lasts - firsts + 2  # with the one block that parts it from the next
    offset = np.concatenate(([0], np.cumsum(counts)[:-1]))
    if len(firsts) == 1:
        first_s = int(firsts[0]) * block_s
        cells = np.arange(first_s, first_s + int(counts[0]) * block_s, cell)
    else:
        blocks = np.arange(int(counts.sum())) - np.repeat(offset - firsts, counts)
        cells = (blocks[:, None] * block_s + np.arange(per_window) * cell).ravel()
    return _Layout(cell, per_window, firsts, offset, cells)


def _even(series: Series, cell: int, per_window: int) -> Grid:
    """Readings with gaps, each of them one cell."""
    import numpy as np

    phase = int(series.start_s[0]) % cell
    parts = stretches(series.start_s, cell)
    firsts = np.array([first for _, first, _ in parts], dtype=np.int64)
    lasts = np.array([last - 1 for _, _, last in parts], dtype=np.int64)
    starts = series.start_s[firsts] - phase if parts else series.start_s - phase
    lengths = series.start_s[lasts] - phase - starts + cell if parts else series.length_s
    layout = _layout(starts, lengths, cell, per_window)
    count = len(layout.start_s)
    means, missing = np.zeros(count), np.ones(count, dtype=bool)
    bits = np.zeros(count, dtype=np.uint16)
    places = layout.at(starts) // cell
    if not parts:
        means[places], missing[places], bits[places] = series.mean, False, series.marks
    for at, (_, first, last) in zip(places.tolist(), parts, strict=False):
        to = at + last - first
        means[at:to], missing[at:to], bits[at:to] = series.mean[first:last], False, series.marks[first:last]
    start = layout.start_s + phase if phase else layout.start_s
    return Grid(cell, per_window, start, means, missing, bits)


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
