"""What a recording comes to: its quality told in counts and spans, and the demand with its bounds.

All frozen, of plain values, so that they can be stored as JSON; figures are in the series' own unit (W, VA or A).
"""

from __future__ import annotations

from dataclasses import dataclass

# The window a maximum demand is averaged over.
WINDOW_S = 900


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time.

    Args:
        first_s: Its start, seconds since 1970 UTC.
        last_s: Its end.
        readings: Readings in it; 0 for a gap.
    """

    first_s: int
    last_s: int
    readings: int = 0


@dataclass(frozen=True, slots=True)
class Finding:
    """One quality mark: how many readings carry it, and where.

    Args:
        mark: Name of the mark.
        readings: How many.
        spans: The longest stretches, in order of time; `more` tells how many are left out.
    """

    mark: str
    readings: int
    spans: tuple[Span, ...]
    more: int = 0


@dataclass(frozen=True, slots=True)
class Gaps:
    """Time without a reading.

    Args:
        count: How many gaps.
        missing_s: Together [s].
        spans: The longest, in order of time; `more` tells how many are left out.
    """

    count: int
    missing_s: int
    spans: tuple[Span, ...]
    more: int = 0


@dataclass(frozen=True, slots=True)
class Month:
    """One calendar month of the recording: share of it with readings, and share with readings free of doubt."""

    year: int
    month: int
    share: float
    share_undoubted: float


@dataclass(frozen=True, slots=True)
class Occupancy:
    """How far someone seems to have been at home; facts only, None where there is no such time in the recording.

    A time counts as with load if its largest 15-minute mean (or reading, where that is longer) is at least twice the
    recording's own base, its 5th percentile.

    Args:
        base: The base.
        evenings: Share of evenings, 17 to 23 h, with load.
        nights: Share of nights, 0 to 5 h, with load.
        weekends: Share of Saturdays and Sundays with load.
        longest_quiet_days: Longest run of days without load in the evening.
    """

    base: float | None
    evenings: float | None
    nights: float | None
    weekends: float | None
    longest_quiet_days: int


@dataclass(frozen=True, slots=True)
class SourceSigns:
    """Signs of a source behind the meter that hides demand.

    Args:
        negative: Readings below zero.
        days: Days that could be looked at.
        midday_dips: Days whose mean from 10 to 14 h is at most a quarter of the mean of the rest of the day.
        received: Readings above zero in a channel of the same file that counts what flows back to the utility.
        suspected: Whether any of these speaks for a source.
    """

    negative: int
    days: int
    midday_dips: int
    suspected: bool
    received: int = 0


@dataclass(frozen=True, slots=True)
class SuspectUnit:
    """Figures that no house draws, and the factor with which they would be plausible."""

    peak: float
    factor: float


@dataclass(frozen=True, slots=True)
class QualityReport:
    """What was found in one channel; nothing of it was repaired.

    Args:
        readings: Readings in the series.
        step_s: Usual interval [s].
        first_s: Start of the first.
        last_s: End of the last.
        undoubted: Readings with no doubtful mark.
        findings: One for every mark met but `valid`.
        gaps: Time without a reading.
        out_of_order, same_twice, other_twice, resets, without_length: Counts on the way from the file.
        months: Calendar months touched.
        occupancy: Facts on occupancy.
        sources: Signs of a source.
        suspect_unit: Where the unit cannot be right.
    """

    readings: int
    step_s: int
    first_s: int
    last_s: int
    undoubted: int
    findings: tuple[Finding, ...]
    gaps: Gaps
    out_of_order: int
    same_twice: int
    other_twice: int
    resets: int
    without_length: int
    months: tuple[Month, ...]
    occupancy: Occupancy
    sources: SourceSigns
    suspect_unit: SuspectUnit | None


@dataclass(frozen=True, slots=True)
class Peak:
    """The largest window of its kind, as a range that holds the true figure.

    Args:
        low: Lower bound, reached by some window.
        high: Upper bound; None where the data give none (samples, readings below zero).
        start_s: Start of the window or interval the figure comes from, seconds since 1970 UTC.
        marks: Quality marks of the readings under it; never empty.
    """

    low: float
    high: float | None
    start_s: int
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Phase:
    """The largest block when blocks begin this long after the quarter hour."""

    after_s: int
    peak: float


@dataclass(frozen=True, slots=True)
class Demand:
    """The largest 15-minute demand of a series.

    Args:
        block: Largest of the blocks that begin on the quarter hour.
        sliding: Largest of the windows that may begin at any time.
        phases: Largest block by the clock phase of the blocks, where the data are fine enough to tell.
        windows: Quarter hours (or intervals, where these are longer) that are whole.
        incomplete: Those with some reading missing.
        incomplete_low: Largest of these with nothing counted for what is missing; a lower bound.
    """

    block: Peak
    sliding: Peak
    phases: tuple[Phase, ...]
    windows: int
    incomplete: int
    incomplete_low: float | None


@dataclass(frozen=True, slots=True)
class ThirtyDays:
    """What a 30-day recording would have seen: its peak as a share of the whole recording's peak."""

    windows: int
    worst: float
    median: float


@dataclass(frozen=True, slots=True)
class Coverage:
    """How long and how completely was recorded.

    Args:
        span_days: First reading to last.
        share: Share of that time with readings.
        share_undoubted: Share with readings free of doubt.
        unbroken_days: Longest stretch without any gap.
        nearly_unbroken_days: Longest stretch without a gap longer than `small_gap_s`.
        nearly_share: Share of that stretch with readings.
        small_gap_s: That length [s].
        thirty_days: Whether the nearly unbroken stretch is 30 days or longer.
        twelve_months: Whether the span is 365 days or longer.
    """

    span_days: float
    share: float
    share_undoubted: float
    unbroken_days: float
    nearly_unbroken_days: float
    nearly_share: float
    small_gap_s: int
    thirty_days: bool
    twelve_months: bool


@dataclass(frozen=True, slots=True)
class DayHours:
    """One day by its 24 hours on the clock of the place: mean and largest 15-minute mean; None without readings."""

    day: str
    mean: tuple[float | None, ...]
    largest: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class PlotPoint:
    """One quarter hour of the peak week: smallest, mean and largest reading, and its marks."""

    start_s: int
    low: float
    mean: float
    high: float
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a figure comes from.

    Args:
        sha256: Checksum of the file.
        form: csv, parquet or espi.
        channels: The channels that went in.
        mapping: What the columns were said to mean, as JSON text; "" where the file says so itself.
        engine: Version of this program.
    """

    sha256: str
    form: str
    channels: tuple[str, ...]
    mapping: str
    engine: str


@dataclass(frozen=True, slots=True)
class Reduction:
    """A recording reduced to what a measured load stands on.

    Args:
        provenance: Where it comes from.
        unit: W, VA or A: the unit of every figure here.
        leg: L1, L2, both or "" where it is not known.
        direction: delivered, received, net, total or "".
        sampled: Whether readings are instants and no means: no upper bound then.
        step_s: Usual interval [s].
        exact: Whether a quarter hour is told exactly; else the figures are bounds.
        demand: With all readings; None where no window is whole.
        undoubted: With every window left out that rests on a doubtful reading; None where none is left.
        thirty_days: None for a recording of less than 60 days.
        duration: (share of time, demand met or passed for that share), falling.
        days: Day by hour.
        peak_week: The week around the largest block.
        coverage: How long and how completely was recorded.
        quality: What was found.
        mean: Mean over all readings, by their length; None where a reading is below zero.
        parts: Where two or more channels were added: each with its own largest block in the time they share; left
            out where a quarter hour is not told exactly.
    """

    provenance: Provenance
    unit: str
    leg: str
    direction: str
    sampled: bool
    step_s: int
    exact: bool
    demand: Demand | None
    undoubted: Demand | None
    thirty_days: ThirtyDays | None
    duration: tuple[tuple[float, float], ...]
    days: tuple[DayHours, ...]
    peak_week: tuple[PlotPoint, ...]
    coverage: Coverage
    quality: QualityReport
    mean: float | None = None
    parts: tuple[tuple[str, float], ...] = ()
