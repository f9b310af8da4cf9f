"""The largest 15-minute demand: exactly from fine readings, as a stated bound from coarse ones.

With readings of T seconds, energy E in each, and a window of w = 900 s:

- T divides w. A block, or a window that begins with a reading, is a sum of k = w/T whole readings: exact. A window that
  begins anywhere touches at most k + 1 readings, and holds at most their whole energy: the sum of k + 1 adjoining
  readings, over w, is never passed. For quarter hours (k = 1) that is the sum of two consecutive means.
- T longer than w. A window inside one reading holds at most E, so at most E/w: for an hour, four times its kWh in kW. A
  window that straddles two holds at most both energies: (E1 + E2)/w, for two hours four times their sum. The lower
  bound: ceil(T/w) windows cover the reading, so one of them holds at least E/ceil(T/w). Blocks do not straddle where
  w divides T; else a reading lies in at most one block more, and the bounds are wider by that.
- Readings that keep no even step (stamps that jitter) are shared out over cells; the bounds take in one cell more on
  each side, and none is told where a reading is longer than a cell.
- T shorter than w and no divisor of it. A window touches at most ceil(w/T) + 1 readings; one that begins with a reading
  holds floor(w/T) whole ones; a reading lies in at most two blocks.

Blocks begin on the quarter hour, or after it by the phase that the readings themselves keep.

The bounds hold where no reading is below zero and each is a true mean; else the upper bound is None.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from deadfront.recordings.answer import WINDOW_S, Demand, Peak, Phase
from deadfront.recordings.grid import Grid, any_of
from deadfront.recordings.marks import names_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]


def _sums(values: NDArray[Any], count: int) -> NDArray[Any]:
    """Sums of `count` adjoining values, one for each that has enough behind it."""
    import numpy as np

    sums = np.zeros(len(values) + 1, dtype=np.float64 if values.dtype.kind == "f" else np.int64)
    np.cumsum(values, out=sums[1:])
    result: NDArray[Any] = sums[count:] - sums[:-count]
    return result


def _peak(grid: Grid, at: int, count: int, low: float, high: float | None) -> Peak:
    import numpy as np

    mask = int(np.bitwise_or.reduce(grid.marks[at : at + count]))
    return Peak(low, high, int(grid.start_s[at]), names_of(mask))


def _largest(values: Floats, allowed: Bools) -> int:
    import numpy as np

    return int(np.where(allowed, values, -np.inf).argmax())


def demand_of(grid: Grid, bounded: bool, without: Bools | None = None) -> Demand | None:
    """The largest demand of a grid.

    Args:
        grid: Means by cell.
        bounded: Whether upper bounds hold: true means, none below zero.
        without: Cells that no window may rest on.
    Returns:
        None where no window is whole.
    """
    out = grid.missing if without is None else grid.missing | without
    if bool(out.all()):
        return None
    return _fine(grid, bounded, out) if grid.fine else _coarse(grid, bounded, out)


def _means(grid: Grid) -> Floats:
    """Mean of the window that begins with each cell; what is missing counts as none."""
    means: Floats = _sums(grid.mean, grid.per_window)
    means /= grid.per_window
    return means


def _fine(grid: Grid, bounded: bool, out: Bools) -> Demand | None:
    import numpy as np

    count = grid.per_window
    means = _means(grid)
    if bool(out.any()):
        means[any_of(out, count)] = -np.inf
    whole = len(means) // count * count
    tops = np.full(count, -np.inf)
    tops[: len(means) - whole] = means[whole:]
    tops = np.maximum(tops, means[:whole].reshape(-1, count).max(axis=0, initial=-np.inf))
    at = int(means.argmax())
    if not np.isfinite(means[at]):
        return None
    phases = tuple(Phase(after * grid.cell_s, float(top)) for after, top in enumerate(tops) if np.isfinite(top))
    high, block_high = _upper(grid, out, means) if bounded else (None, None)
    sliding = _exactly(grid, at, count, high, bounded)
    blocks = means[::count]
    best = int(blocks.argmax())
    if not np.isfinite(blocks[best]):
        return None
    block = _exactly(grid, best * count, count, None, bounded)
    if bounded and (grid.even or block_high is not None):
        block = replace(block, high=block.low if grid.even else max(block_high or 0.0, block.low))
    partly, low = _partial(grid, out)
    return Demand(block, sliding, phases, int(np.isfinite(blocks).sum()), partly, low if bounded else None)


def _partial(grid: Grid, out: Bools) -> tuple[int, float | None]:
    """How many blocks lack some readings, and the largest of them with nothing counted for what is missing."""
    import numpy as np

    if not bool(out.any()):
        return 0, None
    count = grid.per_window
    partly = any_of(out, count)[::count] & any_of(~out, count)[::count]
    if not bool(partly.any()):
        return 0, None
    sums = np.where(out.reshape(-1, count)[partly], 0.0, grid.mean.reshape(-1, count)[partly]).sum(axis=1)
    return int(partly.sum()), float(sums.max()) / count


def _exactly(grid: Grid, at: int, count: int, high: float | None, bounded: bool) -> Peak:
    """The window at a cell, summed anew so that no rounding of running sums is left in it."""
    low = float(grid.mean[at : at + count].sum() / count)
    return _peak(grid, at, count, low, max(high, low) if high is not None and bounded else None)


def _upper(grid: Grid, out: Bools, means: Floats) -> tuple[float | None, float | None]:
    """What a window that begins at any time, and one that begins with a cell, cannot pass.

    Where readings do not lie whole in cells, a window may hold the whole energy of the readings that reach over its
    ends: these lie, as shared out, in one cell more on each side, if no reading is longer than a cell; else nothing
    can be said.
    """
    import numpy as np

    if grid.even:
        return _any_time(grid, out, means), None
    if grid.longest_s > grid.cell_s:
        return None, None
    cells, count = np.where(out, 0.0, grid.mean), grid.per_window
    around = np.concatenate((np.zeros(3), cells, np.zeros(3)))
    return tuple(float(_sums(around, count + more).max()) / count for more in (3, 2))  # type: ignore[return-value]


def _any_time(grid: Grid, out: Bools, means: Floats) -> float:
    """What a whole window that begins at any time cannot pass; where its neighbor is missing, that counts as none."""
    import numpy as np

    count = grid.per_window
    if not bool(out.any()):
        return float((means[:-1] + grid.mean[count:] / count).max(initial=-np.inf))
    cells = grid.mean / count
    cells[out] = 0.0
    after = float((means[:-1] + cells[count:]).max(initial=-np.inf))
    return max(after, float((means[1:] + cells[: len(means) - 1]).max(initial=-np.inf)))


def _coarse(grid: Grid, bounded: bool, out: Bools) -> Demand:
    import numpy as np

    step, energy = grid.cell_s, np.where(out, 0.0, grid.mean) * grid.cell_s
    touched = -(-WINDOW_S // step) + 1
    blocks = -(-step // WINDOW_S) + (1 if step % WINDOW_S else 0)
    best = _largest(energy, ~out)
    low = float(energy[best]) / blocks / WINDOW_S
    around = np.zeros(touched - 1)  # a window may end where readings do: beyond them is nothing
    top = float(_sums(np.concatenate((around, energy, around)), touched).max()) / WINDOW_S
    block_top = top if step % WINDOW_S else float(energy[best]) / WINDOW_S
    block = _peak(grid, best, 1, low, block_top if bounded else None)
    inside = WINDOW_S // step
    unbroken = ~any_of(out, inside) if 0 < inside <= len(energy) else out[:0]
    if bool(unbroken.any()):  # shorter than 15 minutes: a window that begins with a reading holds some whole
        sums = _sums(energy, inside) / WINDOW_S
        at = _largest(sums, unbroken)
        sliding_low = max(low, float(sums[at]))
    else:
        at, inside, sliding_low = best, 1, float(energy[best]) / -(-step // WINDOW_S) / WINDOW_S
    sliding = _peak(grid, at, inside, sliding_low, max(top, sliding_low) if bounded else None)
    return Demand(block, sliding, (), int((~out).sum()), 0, None)
