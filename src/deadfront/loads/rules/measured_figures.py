"""Figures beside a measured demand, for judgment: load factor, and the diversity of what was added up.

None enters a total: the code counts the maximum demand itself, and these tell what kind of load it is the maximum of.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from deadfront.job.things import Recording
from deadfront.loads.rules.context import Context
from deadfront.msg import Msg, said
from deadfront.quantities import Interval, point
from deadfront.recordings.answer import Demand, Peak, Reduction
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

_DIGITS = Decimal("0.001")


def recording_name(recording: Recording) -> str:
    """What a recording is called: its name, else its file, else its id."""
    return recording.name or recording.file or recording.id


def demand_interval(peak: Peak) -> Interval:
    """A recorded peak as an exact range, rounded outward at the third digit after the point; one figure, upward."""
    low, high = (None if end is None else _clean(max(end, 0.0)) for end in (peak.low, peak.high))
    assert low is not None
    if high is None:
        return Interval(low.quantize(_DIGITS, ROUND_FLOOR), None)
    top = high.quantize(_DIGITS, ROUND_CEILING)
    return point(top) if low == high else Interval(low.quantize(_DIGITS, ROUND_FLOOR), top)


def _clean(value: float) -> Decimal:
    """A sum of readings without the noise of binary arithmetic, which lies far below any meter."""
    return Decimal(repr(value)).quantize(Decimal("0.0000001"))


def demand_range(demand: Demand, peak: Peak) -> Interval:
    """The largest of a kind of window; with no upper limit where a window with readings missing already passes it."""
    found, partly = demand_interval(peak), Decimal(repr(demand.incomplete_low or 0.0))
    if found.high is None or partly <= found.high:
        return found
    return Interval(partly.quantize(_DIGITS, ROUND_FLOOR), None)


def figures_of(context: Context, recording: Recording, reduction: Reduction) -> tuple[Step, ...]:
    """Load factor; and for channels added up the diversity factor and its inverse, the coincidence factor."""
    if reduction.demand is None or reduction.demand.block.low <= 0:
        return ()
    path, ident = context.at.path(recording, "sha256"), f"measured/{recording.id}"
    value = demand_range(reduction.demand, reduction.demand.block)
    peak = build.fact(f"{ident}/peak", "measured.peak", value, reduction.unit, path)
    name = said("measured.load_factor", recording=recording_name(recording))
    return (*_load_factor(ident, name, path, peak, reduction), *_diversity(ident, path, peak, reduction))


def _load_factor(ident: str, name: Msg, path: str, peak: Step, reduction: Reduction) -> Iterator[Step]:
    if reduction.mean is None:
        return
    mean = build.fact(f"{ident}/mean", "measured.mean", _figure(reduction.mean), reduction.unit, path)
    yield build.quotient(f"{ident}/load_factor", name, mean, peak, unit="")


def _diversity(ident: str, path: str, peak: Step, reduction: Reduction) -> Iterator[Step]:
    """The peaks of the parts, each at its own time, against the peak of their sum."""
    if len(reduction.parts) < 2:
        return
    parts = [
        build.fact(f"{ident}/part_{number}", said("measured.part", channel=name), _figure(top), reduction.unit, path)
        for number, (name, top) in enumerate(reduction.parts, 1)
    ]
    apart = build.total(f"{ident}/apart", "measured.noncoincident", parts, unit=reduction.unit)
    yield build.quotient(f"{ident}/diversity", "measured.diversity", apart, peak, unit="")
    yield build.quotient(f"{ident}/coincidence", "measured.coincidence", peak, apart, unit="")


def _figure(value: float) -> Decimal:
    return Decimal(repr(value)).quantize(_DIGITS)
