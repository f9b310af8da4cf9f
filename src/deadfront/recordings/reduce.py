"""From a marked series to the figures that a measured load stands on."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from deadfront import __version__
from deadfront.recordings.answer import (
    Coverage,
    PlotPoint,
    Provenance,
    QualityReport,
    Reduction,
    ThirtyDays,
)
from deadfront.recordings.calendar import Blocks, blocks_of, day_hours
from deadfront.recordings.grid import Grid, grid_of
from deadfront.recordings.marks import DOUBTFUL, names_of
from deadfront.recordings.quality import Looked, Missing, examine, gaps_of, look
from deadfront.recordings.recording import Channel, Recording
from deadfront.recordings.series import Series, series_of, total
from deadfront.recordings.stamps import DAY_S
from deadfront.recordings.windows import demand_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SMALL_GAP_S = 3600
WINDOW_DAYS = 30
WINDOW_SHARE = 0.95
CURVE = (0.0, 0.0001, 0.0002, 0.0005, 0.001, 0.002, 0.005)
POINTS = 100
SHARES = tuple(sorted({*CURVE, *(number / POINTS for number in range(POINTS + 1))}))


def provenance_of(recording: Recording, *channels: str) -> Provenance:
    """Where a figure of these channels comes from."""
    mapping = "" if recording.mapping is None else json.dumps(recording.mapping.to_json(), sort_keys=True)
    return Provenance(recording.sha256, recording.form, channels, mapping, __version__)


def reduce_channel(recording: Recording, channel: Channel | str, *, with_others: bool = True) -> Reduction:
    """Series, examination and reduction of one channel in one go.

    Args:
        recording: As read.
        channel: A channel or its name.
        with_others: Look at the other channels too where days copied over gaps are searched.
    Raises:
        RecordingUnreadable: the channel gives no interval.
    """
    if isinstance(channel, str):
        channel = recording.channel(channel)
    series = series_of(recording, channel)
    others = [each for each in recording.channels if each is not channel and each.pack.count == channel.pack.count]
    more = tuple(series_of(recording, each) for each in others[:8] if each.kind == channel.kind) if with_others else ()
    looked = look(series, more)
    report = _with_received(recording, (channel.name,), looked.report)
    return _reduced(replace(looked, report=report), provenance_of(recording, channel.name))


def _with_received(recording: Recording, channels: Sequence[str], report: QualityReport) -> QualityReport:
    """The report, with readings above zero in the other channels that count what flows back to the utility."""
    back = [each for each in recording.channels if each.name not in channels and each.direction == "received"]
    received = sum(int((each.pack.arrays()[2] > 0).sum()) for each in back)
    sources = replace(report.sources, received=received, suspected=report.sources.suspected or received > 0)
    return replace(report, sources=sources)


def reduce(series: Series, report: QualityReport, provenance: Provenance) -> Reduction:
    """The figures of a marked series.

    Args:
        series: From `examine`.
        report: From `examine`.
        provenance: Where it comes from.
    """
    grid = grid_of(series)
    return _reduced(Looked(series, report, grid, blocks_of(grid, series.clock), gaps_of(series)), provenance)


def _reduced(looked: Looked, provenance: Provenance) -> Reduction:
    series, report, grid, blocks = looked.series, looked.report, looked.grid, looked.blocks
    bounded = not series.sampled and report.sources.negative == 0
    doubtful = grid.doubtful()
    demand = demand_of(grid, bounded)
    undoubted = demand_of(grid, bounded, doubtful) if bool(doubtful.any()) else demand
    return Reduction(
        provenance=provenance, unit=series.unit, leg=series.leg, direction=series.direction, sampled=series.sampled,
        step_s=series.step_s, exact=grid.fine and grid.even and bounded, demand=demand, undoubted=undoubted,
        thirty_days=thirty_days(blocks), duration=duration_curve(blocks.mean), days=day_hours(blocks),
        peak_week=peak_week(blocks, grid), coverage=coverage_of(series, looked.gaps), quality=report,
        mean=mean_of(series, report),
    )  # fmt: skip


def mean_of(series: Series, report: QualityReport) -> float | None:
    """Mean over all readings, each by its length; none where a reading is below zero: something feeds back."""
    if series.even and not report.sources.negative:
        return float(series.mean.mean())
    seconds = int(series.length_s.sum())
    if report.sources.negative or not seconds:
        return None
    return float((series.mean * series.length_s).sum() / seconds)


def reduce_sum(recording: Recording, channels: Sequence[str]) -> Reduction:
    """Channels added up and reduced, with the largest block of each by itself in the time they share.

    Args:
        recording: As read.
        channels: Names of two channels or more.
    Raises:
        RecordingUnreadable: they are of different units or have no interval in common.
    """
    every = [series_of(recording, recording.channel(name)) for name in channels]
    added = every[0]
    for each in every[1:]:
        added = total(added, each)
    if any(recording.channel(name).direction == "received" for name in channels):
        added = replace(added, direction="received")
    series, report = examine(added)
    report = _with_received(recording, channels, report)
    reduction = reduce(series, report, provenance_of(recording, *channels))
    if not reduction.exact:
        return reduction
    parts = ((name, _block_within(each, added)) for name, each in zip(channels, every, strict=True))
    return replace(reduction, parts=tuple((name, top) for name, top in parts if top is not None))


def _block_within(series: Series, added: Series) -> float | None:
    """The largest block of a series in the intervals of a sum that it is part of."""
    import numpy as np

    inside = np.isin(series.start_s, added.start_s, assume_unique=True)
    arrays = (series.start_s[inside], series.length_s[inside], series.mean[inside], series.marks[inside])
    start, length, mean, marks = arrays
    shared = replace(series, start_s=start, length_s=length, mean=mean, marks=marks)
    demand = demand_of(grid_of(shared), bounded=True)
    return None if demand is None else demand.block.low


def thirty_days(blocks: Blocks) -> ThirtyDays | None:
    """For every 30 days of the recording, their largest block as a share of the largest of all.

    Days are those of the clock; 30 days with less than 95 % of their blocks are left out.
    """
    import numpy as np

    if not len(blocks.mean):
        return None
    day = blocks.day
    first, count = int(day[0]), int(day[-1] - day[0]) + 1
    top = float(blocks.mean.max())
    if count < 2 * WINDOW_DAYS or top <= 0:
        return None
    largest, number = np.full(count, -np.inf), np.bincount(day - first, minlength=count)
    np.maximum.at(largest, day - first, blocks.mean)
    windows = np.lib.stride_tricks.sliding_window_view(largest, WINDOW_DAYS).max(axis=1)
    filled = np.lib.stride_tricks.sliding_window_view(number, WINDOW_DAYS).sum(axis=1) * blocks.block_s
    shares = windows[filled >= WINDOW_SHARE * WINDOW_DAYS * DAY_S] / top
    if not len(shares):
        return None
    return ThirtyDays(len(shares), float(shares.min()), float(np.median(shares)))


def duration_curve(mean: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    """The demand duration curve: for each share of time the demand met or passed for that share.

    The demand at share s is the block of rank floor(s n) from the largest, counted from 0.
    """
    import numpy as np

    if not len(mean):
        return ()
    falling = np.sort(mean)[::-1]
    return tuple((share, float(falling[min(int(share * len(mean)), len(mean) - 1)])) for share in SHARES)


def peak_week(blocks: Blocks, grid: Grid) -> tuple[PlotPoint, ...]:
    """The blocks of the day with the largest block and of three days on both sides."""
    if not len(blocks.mean):
        return ()
    day = blocks.day
    top = int(day[blocks.mean.argmax()])
    chosen = (day >= top - 3) & (day <= top + 3)
    readings = grid.mean.reshape(-1, grid.per_window)[blocks.number[chosen]]
    rows = zip(
        blocks.start_s[chosen].tolist(), readings.min(axis=1).tolist(), blocks.mean[chosen].tolist(),
        readings.max(axis=1).tolist(), blocks.marks[chosen].tolist(), strict=True,
    )  # fmt: skip
    return tuple(PlotPoint(start, low, mean, high, names_of(mask)) for start, low, mean, high, mask in rows)


def coverage_of(series: Series, gaps: Missing | None = None) -> Coverage:
    """How long and how completely was recorded."""
    import numpy as np

    first = int(series.start_s[0])
    last = series.end_s
    gap_from, gap_to = gaps_of(series) if gaps is None else gaps
    gap_s = gap_to - gap_from
    span = max(last - first, 1)
    doubtful = (series.marks & int(DOUBTFUL)) != 0
    doubtful_s = int(series.length_s[doubtful].sum()) if bool(doubtful.any()) else 0
    recorded = span - int(gap_s.sum())
    unbroken, _ = _stretch(first, last, gap_from, gap_to, np.zeros_like(gap_s))
    long = gap_s > SMALL_GAP_S
    nearly, inside = _stretch(first, last, gap_from[long], gap_to[long], _small_between(gap_from, gap_s, long))
    return Coverage(
        span_days=span / DAY_S, share=recorded / span, share_undoubted=max(recorded - doubtful_s, 0) / span,
        unbroken_days=unbroken / DAY_S, nearly_unbroken_days=nearly / DAY_S, nearly_share=1 - inside / max(nearly, 1),
        small_gap_s=SMALL_GAP_S, thirty_days=nearly >= WINDOW_DAYS * DAY_S, twelve_months=span >= 365 * DAY_S,
    )  # fmt: skip


def _small_between(gap_from: NDArray[np.int64], gap_s: NDArray[np.int64], long: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Seconds of small gaps in each stretch between the long ones."""
    import numpy as np

    stretch = np.cumsum(long)
    return np.bincount(stretch[~long], gap_s[~long], minlength=int(long.sum()) + 1).astype(np.int64)


def _stretch(
    first: int, last: int, gap_from: NDArray[np.int64], gap_to: NDArray[np.int64], inside: NDArray[np.int64]
) -> tuple[int, int]:
    """The longest time between gaps [s], and the seconds missing inside it."""
    import numpy as np

    starts, ends = np.concatenate(([first], gap_to)), np.concatenate((gap_from, [last]))
    best = int((ends - starts).argmax())
    return int((ends - starts)[best]), int(inside[best]) if best < len(inside) else 0
