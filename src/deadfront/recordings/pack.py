"""Readings of one channel kept in little room while a file streams by: exact, a few bytes each."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

BLOCK = 65_536


@dataclass(frozen=True, slots=True)
class _Run:
    """Whole numbers with one step between them."""

    first: int
    step: int
    count: int

    def goes_on_with(self, other: _Run) -> bool:
        """Whether the other run begins where this one ends, with the same step."""
        return self.step == other.step and other.first == self.first + self.step * self.count


def _packed_ints(values: NDArray[Any]) -> Any:
    import numpy as np

    first = int(values[0])
    step = int(values[1]) - first if len(values) > 1 else 0
    if len(values) < 2 or bool((values[1:] - values[:-1] == step).all()):
        return _Run(first, step, len(values))
    low, high = int(values.min()), int(values.max())
    if high - low < 2**32:
        return low, (values - low).astype(np.uint16 if high - low < 2**16 else np.uint32)
    return 0, values.astype(np.int64)


def _unpacked_ints(packed: Any, out: NDArray[Any], at: int) -> int:
    """Lay a packed block into an array; where the next one begins."""
    import numpy as np

    if isinstance(packed, _Run):
        to = at + packed.count
        last = packed.first + packed.step * packed.count
        out[at:to] = np.arange(packed.first, last, packed.step, dtype=np.int64) if packed.step else packed.first
        return to
    low, values = packed
    to = at + len(values)
    np.add(values, low, out=out[at:to], dtype=np.int64, casting="unsafe")
    return to


def _packed_floats(values: NDArray[np.float64]) -> NDArray[Any]:
    import numpy as np

    with np.errstate(over="ignore"):
        few = values[:64]
        if not bool(((few.astype(np.float32) == few) | np.isnan(few)).all()):
            return values.astype(np.float64)
        short = values.astype(np.float32)
    same = (short == values) | np.isnan(values)
    return short if bool(same.all()) else values.astype(np.float64)


@dataclass(slots=True)
class Pack:
    """Time, length, value and mark of each reading, packed without loss as blocks.

    Nothing is sorted or judged here: the order is the file's.
    """

    count: int = 0
    _whole: tuple[list[Any], list[Any], list[Any]] = field(default_factory=lambda: ([], [], []))
    _values: list[Any] = field(default_factory=list)
    _open: tuple[list[int], list[int], list[float], list[int]] = field(default_factory=lambda: ([], [], [], []))

    def add(self, time_s: int, length_s: int, value: float, mark: int) -> None:
        """One reading; length 0 where the file does not tell it."""
        times, lengths, values, marks = self._open
        times.append(time_s)
        lengths.append(length_s)
        values.append(value)
        marks.append(mark)
        self.count += 1
        if len(times) >= BLOCK:
            self._close()

    def add_all(self, time_s: NDArray[Any], length_s: NDArray[Any], value: NDArray[Any], mark: NDArray[Any]) -> None:
        """Many readings at once."""
        if not len(time_s):
            return
        self._close()
        self.count += len(time_s)
        self._keep(time_s, length_s, value, mark)

    def _close(self) -> None:
        import numpy as np

        times, lengths, values, marks = self._open
        if not times:
            return
        whole = [np.array(each, dtype=np.int64) for each in (times, lengths, marks)]
        self._keep(whole[0], whole[1], np.array(values, dtype=np.float64), whole[2])
        for each in self._open:
            each.clear()

    def _keep(self, time_s: NDArray[Any], length_s: NDArray[Any], value: NDArray[Any], mark: NDArray[Any]) -> None:
        for kept, values in zip(self._whole, (time_s, length_s, mark), strict=True):
            packed = _packed_ints(values)
            if kept and isinstance(packed, _Run) and isinstance(kept[-1], _Run) and kept[-1].goes_on_with(packed):
                packed = _Run(kept[-1].first, packed.step, kept.pop().count + packed.count)
            kept.append(packed)
        self._values.append(_packed_floats(value))

    def arrays(self) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64], NDArray[np.uint16]]:
        """Time [s], length [s], value and marks of all readings, in the file's order."""
        import numpy as np

        self._close()
        if not self._values:
            none = np.zeros(0, dtype=np.int64)
            return none, none, none.astype(np.float64), none.astype(np.uint16)
        times, lengths = (_joined(kept, np.int64, self.count) for kept in self._whole[:2])
        values = np.empty(self.count)
        np.concatenate(self._values, out=values)
        return times, lengths, values, _joined(self._whole[2], np.uint16, self.count)


def _joined(kept: list[Any], kind: Any, count: int) -> NDArray[Any]:
    import numpy as np

    out, at = np.empty(count, dtype=kind), 0
    for each in kept:
        at = _unpacked_ints(each, out, at)
    return out
