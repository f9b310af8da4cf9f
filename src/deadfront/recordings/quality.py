"""What is odd in a series: found, marked, counted, and told in spans; nothing is repaired."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from deadfront.recordings.answer import Finding, Gaps, QualityReport, Span, SuspectUnit
from deadfront.recordings.calendar import Blocks, blocks_of, months_of, occupancy_of, source_signs
from deadfront.recordings.grid import Grid, grid_of
from deadfront.recordings.marks import DOUBTFUL, Mark, names_of
from deadfront.recordings.repeats import repeated_day, runs, stuck
from deadfront.recordings.series import Series

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SHOWN_SPANS = 50
# What the largest reading of a house may plausibly be, from memory of the trade: W or VA, and A. Wide on purpose.
PLAUSIBLE = {"W": (200.0, 150_000.0), "VA": (200.0, 150_000.0), "A": (1.0, 700.0)}
FACTORS = (1e3, 1e-3, 1e6, 1e-6)
Missing = tuple["NDArray[np.int64]", "NDArray[np.int64]"]  # starts and ends of the time without a reading


@dataclass(frozen=True, slots=True)
class Looked:
    """A marked series, its report, and the cells, blocks and gaps both were made from."""

    series: Series
    report: QualityReport
    grid: Grid
    blocks: Blocks
    gaps: Missing


def examine(series: Series, others: tuple[Series, ...] = ()) -> tuple[Series, QualityReport]:
    """Mark what is odd and report it.

    Args:
        series: As made from the file.
        others: More channels of the same file; a day copied over a gap is copied in all of them, so with these a
            short copy is told from chance.
    """
    looked = look(series, others)
    return looked.series, looked.report


def look(series: Series, others: tuple[Series, ...] = ()) -> Looked:
    """The same, with what the figures are made from."""
    marked = series
    columns = [series.mean] + [each.mean for each in others if _same_times(series, each)]
    marked = marked.marked(repeated_day(series.start_s, columns, series.step_s, series.even), Mark.REPEATED_DAY)
    marked = marked.marked(stuck(series.mean, series.step_s), Mark.STUCK)
    suspect = suspect_unit(series)
    if suspect is not None:
        marked = marked.marked(series.length_s > 0, Mark.SUSPECT_UNIT)
    grid = grid_of(marked)
    blocks = blocks_of(grid, marked.clock)
    gaps = gaps_of(marked)
    return Looked(marked, _report(marked, suspect, blocks, gaps), grid, blocks, gaps)


def _same_times(first: Series, second: Series) -> bool:
    import numpy as np

    return first.start_s is second.start_s or np.array_equal(first.start_s, second.start_s)


def suspect_unit(series: Series) -> SuspectUnit | None:
    """Whether no house draws such figures, and by what factor they would be plausible."""

    if series.unit not in PLAUSIBLE or not len(series.mean):
        return None
    low, high = PLAUSIBLE[series.unit]
    peak = max(float(series.mean.max()), -float(series.mean.min()))
    if low <= peak <= high or peak == 0:
        return None
    factor = next((each for each in FACTORS if low <= peak * each <= high), None)
    return None if factor is None else SuspectUnit(peak, factor)


def gaps_of(series: Series) -> Missing:
    """Starts and ends of the time without a reading, where it is at least half an interval."""
    import numpy as np

    if series.even:
        none = np.zeros(0, dtype=np.int64)
        at = none if series.unbroken else np.flatnonzero(np.diff(series.start_s) != series.step_s)
        return series.start_s[at] + series.step_s, series.start_s[at + 1]
    missing = np.diff(series.start_s) - series.length_s[:-1]
    if not len(missing) or (int(missing.min()) >= 0 and int(missing.max()) == 0):
        none = np.zeros(0, dtype=np.int64)
        return none, none
    if int(missing.min()) < 0:  # readings overlap
        missing = series.start_s[1:] - np.maximum.accumulate(series.start_s + series.length_s)[:-1]
    at = np.flatnonzero(missing * 2 >= max(series.step_s, 1))
    last = series.start_s[at + 1]
    return last - missing[at], last


def _longest(first: NDArray[np.int64], last: NDArray[np.int64], readings: NDArray[np.int64]) -> tuple[Span, ...]:
    import numpy as np

    chosen = np.sort(np.argsort(first - last, kind="stable")[:SHOWN_SPANS])
    return tuple(Span(int(first[at]), int(last[at]), int(readings[at])) for at in chosen)


def _finding(series: Series, mark: Mark) -> Finding | None:
    has = (series.marks & int(mark)) != 0
    if not bool(has.any()):
        return None
    first, length = runs(has)
    last = first + length - 1
    spans = _longest(series.start_s[first], series.start_s[last] + series.length_s[last], length)
    return Finding(names_of(mark)[0], int(has.sum()), spans, max(len(first) - SHOWN_SPANS, 0))


def _report(series: Series, suspect: SuspectUnit | None, blocks: Blocks, missing: Missing) -> QualityReport:
    import numpy as np

    doubtful = (series.marks & int(DOUBTFUL)) != 0
    met = int(np.bitwise_or.reduce(series.marks))
    found = (_finding(series, mark) for mark in Mark if mark is not Mark.VALID and met & mark)
    first, last = missing
    gaps = Gaps(
        len(first), int((last - first).sum()), _longest(first, last, np.zeros_like(first)),
        max(len(first) - SHOWN_SPANS, 0),
    )  # fmt: skip
    counts = series.counts
    return QualityReport(
        readings=len(series.mean), step_s=series.step_s, first_s=int(series.start_s[0]),
        last_s=series.end_s, undoubted=int((~doubtful).sum()),
        findings=tuple(each for each in found if each is not None), gaps=gaps, out_of_order=counts.out_of_order,
        same_twice=counts.same_twice, other_twice=counts.other_twice, resets=counts.resets,
        without_length=counts.without_length, months=months_of(series, doubtful), occupancy=occupancy_of(blocks),
        sources=source_signs(series, blocks), suspect_unit=suspect,
    )  # fmt: skip
