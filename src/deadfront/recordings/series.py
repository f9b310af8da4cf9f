"""One channel in order of time: mean power of every interval, with its quality marks; nothing repaired."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from deadfront.recordings.mapping import ENERGY, UNITS
from deadfront.recordings.marks import Mark
from deadfront.recordings.recording import Channel, Recording
from deadfront.recordings.trouble import RecordingUnreadable
from deadfront.recordings.zone import OffsetTable

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

HOUR_S = 3600
FIRST_FEW = 5_000
FEW_DROPPED = 1_000
# The base unit that a unit's mean over time is told in.
BASE = {
    "W": "W", "kW": "W", "Wh": "W", "kWh": "W", "MWh": "W", "VA": "VA", "kVA": "VA", "VAh": "VA", "kVAh": "VA",
    "A": "A", "V": "V", "var": "var", "kvar": "var", "varh": "var", "kvarh": "var", "Hz": "Hz", "other": "other",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Counts:
    """What was met on the way from the file to the series.

    Args:
        readings: Readings kept.
        out_of_order: Readings that stood before an earlier one.
        same_twice: Readings left out because the same start and value stood twice.
        other_twice: Readings left out because their start stood twice with another value; the largest was kept.
        overlapped: Readings that begin before the one before them ends.
        resets: Falls of a cumulative register; the interval of each is left out.
        doubtful_hours: Readings in an hour that comes twice or never on the clock.
        clock_jumps: Places where the stamps leave their own step.
        without_length: Readings left out because no interval could be told for them.
    """

    readings: int = 0
    out_of_order: int = 0
    same_twice: int = 0
    other_twice: int = 0
    overlapped: int = 0
    resets: int = 0
    doubtful_hours: int = 0
    clock_jumps: int = 0
    without_length: int = 0


@dataclass(frozen=True, slots=True)
class Series:
    """Mean power by interval, rising in time.

    Args:
        name: Channel.
        unit: W, VA, A, or another base unit.
        leg: L1, L2, both or "".
        direction: As the file says.
        sampled: Whether a reading is one instant and no mean.
        start_s: Starts of the intervals, seconds since 1970 UTC (n,).
        length_s: Lengths [s] (n,).
        mean: Mean over the interval, in `unit` (n,).
        marks: Bit masks of Mark (n,), never zero.
        step_s: The usual interval [s].
        clock: The clock of the place.
        counts: What was met on the way.
        even: Whether all lengths are the step and all starts lie whole steps apart; so it is with any part of it.
    """

    name: str
    unit: str
    leg: str
    direction: str
    sampled: bool
    start_s: NDArray[np.int64]
    length_s: NDArray[np.int64]
    mean: NDArray[np.float64]
    marks: NDArray[np.uint16]
    step_s: int
    clock: OffsetTable
    counts: Counts
    even: bool = False

    @property
    def unbroken(self) -> bool:
        """Whether it is even and lacks no reading between its first and last."""
        count = len(self.start_s)
        return self.even and count > 0 and int(self.start_s[-1] - self.start_s[0]) == (count - 1) * self.step_s

    @property
    def end_s(self) -> int:
        """The end of the reading that ends last."""
        if self.even:
            return int(self.start_s[-1] + self.length_s[-1])
        return int((self.start_s + self.length_s).max())

    def marked(self, chosen: NDArray[np.bool_], mark: Mark) -> Series:
        """The same series with one more mark on the chosen readings."""
        if not bool(chosen.any()):
            return self
        marks = self.marks.copy()
        marks[chosen] = (marks[chosen] | mark) & ~int(Mark.VALID) & 0xFFFF
        return replace(self, marks=marks)

    def cut(self, first_s: int, last_s: int) -> Series:
        """The readings that start in a span of time, first_s included, last_s not."""
        import numpy as np

        low, high = np.searchsorted(self.start_s, [first_s, last_s])
        span = slice(int(low), int(high))
        arrays = (self.start_s[span], self.length_s[span], self.mean[span], self.marks[span])
        start, length, mean, marks = arrays
        counts = Counts(readings=len(start))
        return replace(self, start_s=start, length_s=length, mean=mean, marks=marks, counts=counts)


def usual_step(times_s: NDArray[np.int64]) -> int:
    """The step met most often between rising times [s]; 0 with fewer than two."""
    import numpy as np

    return _usual(np.diff(times_s))


def _usual(steps: NDArray[np.int64]) -> int:
    """The positive step met most often [s]; 0 where there is none."""
    import numpy as np

    first = int(steps[0]) if len(steps) else 0
    if first > 0 and 2 * int(np.count_nonzero(steps == first)) > len(steps):
        return first
    steps = steps[steps > 0]
    if not len(steps):
        return 0
    values, counts = np.unique(steps, return_counts=True)
    return int(values[counts.argmax()])


def series_of(recording: Recording, channel: Channel | str) -> Series:
    """The series of one channel.

    Args:
        recording: As read.
        channel: A channel or its name.
    Raises:
        RecordingUnreadable: no such channel, or its readings give no interval.
    """
    import numpy as np

    if isinstance(channel, str):
        channel = recording.channel(channel)
    times, lengths, values, file_marks = channel.pack.arrays()
    early = int(np.count_nonzero(times[1:] < times[:-1]))
    if early * 2 > len(times):  # newest first
        times, lengths, values, file_marks = times[::-1], lengths[::-1], values[::-1], file_marks[::-1]
    marks = file_marks
    doubt = np.zeros(len(times), dtype=bool)
    if not channel.utc:
        times, doubt = recording.clock.to_utc(times, recording.clock_rule, usual_step(times[:FIRST_FEW]))
        marks[doubt] |= int(Mark.DST_AMBIGUOUS)
    steps = np.diff(times)
    early = int(np.count_nonzero(steps < 0))
    if early:
        order = np.argsort(times, kind="stable")
        times, lengths, values, marks = times[order], lengths[order], values[order], marks[order]
        steps = np.diff(times)
    factor = channel.scale * UNITS[channel.unit]
    values = values if factor == 1 else values * factor
    same = other = 0
    if len(steps) and int(steps.min()) == 0:
        times, lengths, values, marks, same, other = _once(times, lengths, values, marks)
        steps = np.diff(times)
    counts = Counts(out_of_order=early, same_twice=same, other_twice=other, doubtful_hours=int(doubt.sum()))
    step = channel.interval_s or _usual(steps)
    if channel.kind == "register":
        return _of_register(recording, channel, times, values, marks, counts)
    return _of_intervals(recording, channel, (times, lengths, values, marks), steps, step, counts)


Arrays = tuple["NDArray[np.int64]", "NDArray[np.int64]", "NDArray[np.float64]", "NDArray[np.uint16]"]


def _once(
    times: NDArray[np.int64], lengths: NDArray[np.int64], values: NDArray[np.float64], marks: NDArray[np.uint16]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64], NDArray[np.uint16], int, int]:
    """One reading for each start, the largest; it is marked, and the others counted. The arrays given are used up."""
    import numpy as np

    again = times[1:] == times[:-1]
    grouped = np.zeros(len(times), dtype=bool)
    grouped[1:] = again
    grouped[:-1] |= again
    rows = np.flatnonzero(grouped)  # few: only they are put in order, the largest of a start before the others
    first = np.ones(len(times), dtype=bool)
    first[1:] = ~again
    order = rows[np.lexsort((-values[rows], times[rows]))]
    heads = first[rows]
    kept = np.flatnonzero(heads)[np.cumsum(heads) - 1]
    same = int(((values[order] == values[order[kept]]) & ~heads).sum())
    other = int((~heads).sum()) - same
    own = marks[order]
    own[kept[~heads]] |= int(Mark.DUPLICATE)
    lengths[rows], values[rows], marks[rows] = lengths[order], values[order], own
    dropped = np.flatnonzero(~first)
    return (*(_without(each, dropped, first) for each in (times, lengths, values, marks)), same, other)  # type: ignore


def _without(values: NDArray[Any], dropped: NDArray[np.int64], kept: NDArray[np.bool_]) -> NDArray[Any]:
    """The values kept; where few are dropped, the stretches between them are joined."""
    import numpy as np

    if len(dropped) > FEW_DROPPED:
        return values[kept]
    ends = [*dropped.tolist(), len(values)]
    starts = [0, *(at + 1 for at in ends[:-1])]
    return np.concatenate([values[first:last] for first, last in zip(starts, ends, strict=True)])


def _of_intervals(
    recording: Recording, channel: Channel, arrays: Arrays, steps: NDArray[np.int64], step_s: int, counts: Counts
) -> Series:
    import numpy as np

    times, lengths, values, marks = arrays
    told = lengths[lengths > 0] if bool(lengths.any()) else lengths[:0]
    if len(told) and not channel.interval_s:
        usual = int(np.bincount(told).argmax()) if int(told.max()) < 1_000_000 else int(np.median(told))
        # A clock end such as 00:14 names the last minute of a quarter hour, not its end.
        lengths = np.where((lengths > 0) & (lengths == step_s - 60), step_s, lengths)
        step_s = step_s if usual == step_s - 60 else usual
    lengths = np.where(lengths > 0, lengths, step_s) if len(told) else np.full(len(times), step_s)
    if channel.ends:
        times = times - lengths
        steps = np.diff(times) if len(told) else steps
    lacking = 0
    if len(lengths) and int(lengths.min()) <= 0:
        some = lengths > 0
        lacking = int((~some).sum())
        times, lengths, values, marks = times[some], lengths[some], values[some], marks[some]
        steps = np.diff(times)
    if not len(times):
        raise RecordingUnreadable("recordings.series.no_interval", channel=channel.name)
    if channel.unit in ENERGY:
        values = values * HOUR_S / lengths
    counts = Counts(
        len(times), counts.out_of_order, counts.same_twice, counts.other_twice, 0, 0, counts.doubtful_hours, 0,
        lacking,
    )  # fmt: skip
    return _judged(recording, channel, (times, lengths, values, marks), steps, step_s, counts)


def _of_register(
    recording: Recording, channel: Channel, times: NDArray[np.int64], values: NDArray[np.float64],
    marks: NDArray[np.uint16], counts: Counts,
) -> Series:  # fmt: skip
    """Differences of a cumulative register; where it falls there is no reading, and the next one is marked."""
    import numpy as np

    if len(times) < 2:
        raise RecordingUnreadable("recordings.series.no_interval", channel=channel.name)
    lengths, rises = np.diff(times), np.diff(values)
    fell = rises < 0
    own = marks[1:] | marks[:-1]
    own[1:][fell[:-1]] |= int(Mark.RESET)
    keep = ~fell
    if not bool(keep.any()):
        raise RecordingUnreadable("recordings.series.falls", channel=channel.name)
    means = rises * HOUR_S / lengths if channel.unit in ENERGY else rises / lengths
    counts = Counts(
        int(keep.sum()), counts.out_of_order, counts.same_twice, counts.other_twice, 0, int(fell.sum()),
        counts.doubtful_hours, 0, 0,
    )  # fmt: skip
    arrays = (times[:-1][keep], lengths[keep], means[keep], own[keep])
    return _judged(recording, channel, arrays, np.diff(arrays[0]), usual_step(times), counts)


def _judged(
    recording: Recording, channel: Channel, arrays: Arrays, steps: NDArray[np.int64], step_s: int, counts: Counts
) -> Series:
    """Mark overlaps, jumps of the clock and negative readings; a reading with no mark is valid."""
    import numpy as np

    times, lengths, values, marks = arrays
    marks = marks.copy()
    alike = bool((lengths == step_s).all())
    odd = np.flatnonzero(steps != step_s)
    over = (odd[steps[odd] < step_s] if alike else np.flatnonzero(steps < lengths[:-1])) + 1
    marks[over] |= int(Mark.OVERLAPPED)
    jumps = odd[steps[odd] % step_s != 0] + 1 if step_s else odd[:0]
    regular = len(jumps) * 20 <= len(times)  # else the file keeps no step at all
    if regular:
        marks[jumps] |= int(Mark.CLOCK_JUMP)
    marks[values < 0] |= int(Mark.NEGATIVE)
    marks[marks == 0] = Mark.VALID
    marks[marks != Mark.VALID] &= 0xFFFE
    counts = Counts(
        counts.readings, counts.out_of_order, counts.same_twice, counts.other_twice, len(over), counts.resets,
        counts.doubtful_hours, len(jumps) if regular else 0, counts.without_length,
    )  # fmt: skip
    return Series(
        channel.name, BASE[channel.unit], channel.leg, channel.direction, channel.kind == "instant", times, lengths,
        values, marks, step_s, recording.clock, counts, alike and step_s > 0 and not len(jumps),
    )  # fmt: skip


def total(first: Series, second: Series) -> Series:
    """Both legs together, where both have a reading of the same start and length.

    Raises:
        RecordingUnreadable: the two are of different units or have no interval in common.
    """
    import numpy as np

    both, at, to = np.intersect1d(first.start_s, second.start_s, assume_unique=True, return_indices=True)
    alike = first.length_s[at] == second.length_s[to]
    if first.unit != second.unit or not bool(alike.any()):
        raise RecordingUnreadable("recordings.series.no_total", first=first.name, second=second.name)
    at, to = at[alike], to[alike]
    marks = first.marks[at] | second.marks[to]
    marks[marks != Mark.VALID] &= 0xFFFF ^ int(Mark.VALID)
    return Series(
        f"{first.name} + {second.name}", first.unit, "both", first.direction, first.sampled or second.sampled,
        both[alike], first.length_s[at], first.mean[at] + second.mean[to], marks, max(first.step_s, second.step_s),
        first.clock, Counts(readings=len(at)),
    )  # fmt: skip
