"""What is said of a recording, what follows from it, and what such a recording cannot show; one row each."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.things import Recording
from deadfront.loads.rules.context import POWER_FACTOR_085
from deadfront.loads.rules.measured_figures import demand_interval
from deadfront.msg import Msg, said
from deadfront.quantities import Interval, dec, point
from deadfront.recordings.answer import WINDOW_S, Peak, Reduction
from deadfront.results.loads import Evidence, Method
from deadfront.worksheet.sheet import Cell

# One house measured by the minute over three years: what any 30 days saw of the year's largest quarter hour (worst,
# lowest and highest median by year), and how far the phase of the quarter hours moved that largest, in percent.
# tests/recordings/test_household.py works these out anew from the measured data.
WORST_30_DAYS, LOWEST_MEDIAN, HIGHEST_MEDIAN, PHASE_MOVES = "46.7", 70, 84, 11

Row = tuple[Cell, ...]


def holds(recording: Recording, reduction: Reduction, evidence: Evidence, method: Method | None) -> Iterator[Row]:
    """Rows of what is said and what follows, as an inspector asks for them."""
    yield _row("legs", _legs(recording, evidence))
    if reduction.unit == "W":
        yield _row("power_factor", _power_factor(recording, evidence))
    yield _row("interval", _interval(reduction))
    yield _row("phase", _phase(reduction))
    if method is not None and method.readings:
        reading = method.readings[0]
        by = said(f"sheet.load.reading_by.{reading.by}")
        yield _row("counted", _say(f"counted.{reading.chosen or 'larger'}", by=by))
    yield _row("season", _season(recording, evidence))
    yield _row("since", _amount("since", recording.added_since_va))
    yield _row("occupied", said(f"sheet.evidence.yes_no.{str(recording.occupied).lower()}"))
    if reduction.thirty_days is not None:
        thirty = reduction.thirty_days
        figures = {"worst": _percent(thirty.worst), "median": _percent(thirty.median), "windows": thirty.windows}
        yield _row("here", said("sheet.evidence.thirty_days", **figures))
    yield _row("miss", _say("miss", worst=WORST_30_DAYS, low=LOWEST_MEDIAN, high=HIGHEST_MEDIAN))


def _row(key: str, words: Msg) -> Row:
    return said(f"sheet.evidence.hold.{key}"), words


def _say(key: str, **params: object) -> Msg:
    return said(f"sheet.evidence.holds.{key}", **params)


def _percent(share: float) -> int:
    return int(share * 100)


def _legs(recording: Recording, evidence: Evidence) -> Msg:
    if len(evidence.recordings) > 1:
        return _say("legs.pair")
    if recording.measures is None:
        return _say("legs.unknown")
    if evidence.both_legs:
        return _say("legs.total_year" if evidence.basis == "twelve_months" else "legs.total")
    heavier = str(recording.heavier_leg).lower()
    return _say(f"legs.one_{heavier}", leg=recording.measures)


def _power_factor(recording: Recording, evidence: Evidence) -> Msg:
    if recording.power_factor is not None:
        return _say("power_factor.measured", factor=dec(recording.power_factor))
    assumed = evidence.total is not None and POWER_FACTOR_085 in evidence.total.all_assumed()
    return _say("power_factor.assumed" if assumed else "power_factor.unknown")


def _interval(reduction: Reduction) -> Msg:
    if reduction.sampled:
        return _say("interval.sampled")
    minutes = dec(reduction.step_s) / 60
    key = "quarter" if reduction.step_s == WINDOW_S else "coarse" if reduction.step_s > WINDOW_S else "fine"
    if key == "fine" and not reduction.exact:
        key = "uneven"
    return _say(f"interval.{key}", minutes=minutes.normalize())


def _phase(reduction: Reduction) -> Msg:
    phases = () if reduction.demand is None else reduction.demand.phases
    if len(phases) < 2:
        return _say("phase.fixed", moves=PHASE_MOVES)
    tops = [phase.peak for phase in phases]
    ends = [demand_interval(Peak(each, each, 0, ("valid",))) for each in (min(tops), max(tops))]
    span = Interval(ends[0].low, ends[1].high)
    return _say("phase.found", count=len(phases), span=said(f"measured.figure.{reduction.unit.lower()}", amount=span))


def _season(recording: Recording, evidence: Evidence) -> Msg:
    if evidence.basis == "twelve_months":
        return _say("season.year")
    told = [each.season_load_va for each in evidence.recordings if each.season_load_va is not None]
    return _amount("season", max(told) if told else recording.season_load_va)


def _amount(key: str, amount: object) -> Msg:
    if amount is None:
        return _say(f"{key}.unknown")
    value = point(dec(str(amount)))
    return _say(f"{key}.none") if value.high == 0 else _say(f"{key}.some", amount=value)
