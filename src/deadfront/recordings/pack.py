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


def _unpacked_ints(packed: Any) -> NDArray[np.int64]:
    import numpy as np

    if isinstance(packed, _Run):
        return packed.first + packed.step * np.arange(packed.count, dtype=np.int64)
    low, values = packed
    result: NDArray[np.int64] = low + values.astype(np.int64)
    return result


def _packed_floats(values: NDArray[np.float64]) -> NDArray[Any]:
    import numpy as np

    with np.errstate(over="ignore"):
        short = values.astype(np.float32)
    same = (short == values) | np.isnan(values)
    return short if bool(same.all()) else values.astype(np.float64)


@dataclass(slots=True)
class Pack:
    """Time, length, value and mark of each reading, packed without loss as blocks.

    Nothing is sorted or judged here: the order is the file's.
    """

    count: int = 0
    _blocks: list[tuple[Any, Any, Any, Any]] = field(default_factory=list)
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
        self._blocks.append((_packed_ints(time_s), _packed_ints(length_s), _packed_floats(value), _packed_ints(mark)))

    def _close(self) -> None:
        import numpy as np

        times, lengths, values, marks = self._open
        if not times:
            return
        self._blocks.append(
            (
                _packed_ints(np.array(times, dtype=np.int64)),
                _packed_ints(np.array(lengths, dtype=np.int64)),
                _packed_floats(np.array(values, dtype=np.float64)),
                _packed_ints(np.array(marks, dtype=np.int64)),
            )
        )
        for each in self._open:
            each.clear()

    def arrays(self) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64], NDArray[np.uint16]]:
        """Time [s], length [s], value and marks of all readings, in the file's order."""
        import numpy as np

        self._close()
        if not self._blocks:
            none = np.zeros(0, dtype=np.int64)
            return none, none, none.astype(np.float64), none.astype(np.uint16)
        times = np.concatenate([_unpacked_ints(block[0]) for block in self._blocks])
        lengths = np.concatenate([_unpacked_ints(block[1]) for block in self._blocks])
        values = np.concatenate([block[2] for block in self._blocks]).astype(np.float64)
        marks = np.concatenate([_unpacked_ints(block[3]) for block in self._blocks]).astype(np.uint16)
        return times, lengths, values, marks
