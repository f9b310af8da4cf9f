"""Whether a recording of the service may stand as its measured demand: length, leg, season, occupancy, sources."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from deadfront.job.things import EnergyManagement, Recording, Source
from deadfront.loads.rules.context import Context
from deadfront.loads.rules.measured_figures import recording_name
from deadfront.loads.rules.several import unit_count
from deadfront.msg import Msg, said
from deadfront.recordings.answer import Reduction
from deadfront.results.loads import Evidence
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing

RULE = "measured_demand"
DAY_S = 86_400
YEAR_DAYS = 365
# Least share of the time with readings free of doubt, and of each month of a year. The code names none; ours, and said
# where it bites.
LEAST_SHARE = 0.9
HIDES_DEMAND = ("solar", "battery", "vehicle")

Said = tuple[Outcome, Msg, tuple[Missing, ...]]


def paired(context: Context) -> tuple[Evidence, ...]:
    """The recordings of the house as pieces of evidence: each by itself, or L1 and L2 recorded at the same time."""
    recordings = sorted(context.at.house.recordings, key=lambda each: each.id)
    left, found = list(recordings), []
    while left:
        first = left.pop(0)
        group = [first]
        other = {"L1": "L2", "L2": "L1"}.get(first.measures or "")
        mate = next((r for r in left if other and r.measures == other and _together(context, first, r)), None)
        if mate is not None:
            left.remove(mate)
            group.append(mate)
        group.sort(key=lambda each: each.measures or "")
        reductions = tuple(context.measured.get(each.id) for each in group)
        found.append(Evidence(tuple(group), reductions, "", Outcome.CANNOT_TELL, said("load.may.measured_stale")))
    return tuple(found)


def _together(context: Context, first: Recording, second: Recording) -> bool:
    """Whether two recordings share at least the days that one must last."""
    one, two = context.measured.get(first.id), context.measured.get(second.id)
    if one is None or two is None:
        return first.sha256 == second.sha256
    shared = min(one.quality.last_s, two.quality.last_s) - max(one.quality.first_s, two.quality.first_s)
    return shared >= _days(context) * DAY_S


def _days(context: Context) -> int:
    return int(str(context.book.rule(RULE).params["recording_days_min"]))


def hiding_sources(context: Context) -> tuple[Source, ...]:
    """Sources behind the meter that hide demand, found there or taken out by the work; new ones came after it."""
    house = context.at
    gone = [thing for thing in house.removed.values() if isinstance(thing, Source)]
    every = [source for source in (*house.house.sources, *gone) if source.kind in HIDES_DEMAND]
    return tuple(source for source in every if source.id not in house.tags or house.tag(source.id) != "N")


def peak_shaving(context: Context) -> tuple[EnergyManagement, ...]:
    """Energy management that held loads down while it was recorded: found there, or taken out by the work."""
    house = context.at
    gone = [thing for thing in house.removed.values() if isinstance(thing, EnergyManagement)]
    every = (*house.house.energy_management, *gone)
    return tuple(each for each in every if each.id not in house.tags or house.tag(each.id) != "N")


def missing_of(context: Context, recording: Recording, field: str, ask: str, how: str | None = None) -> Missing:
    """A fact of a recording that is wanted."""
    name = recording_name(recording)
    path = context.at.path(recording, field)
    return Missing(path, said(f"todo.recording.{ask}", recording=name), said(f"todo.how.recording.{how or ask}"))


def judged(context: Context, evidence: Evidence) -> Evidence:
    """The evidence with its basis and whether it may stand: what fails first, then what is not known."""
    if any(each is None for each in evidence.reductions):
        missing = tuple(
            missing_of(context, recording, "sha256", "reduce", "beside" if recording.id in context.unread else None)
            for recording, reduction in zip(evidence.recordings, evidence.reductions, strict=True)
            if reduction is None
        )
        known = (context.unread.get(each.id) for each in evidence.recordings)
        why = next((each for each in known if each is not None), evidence.why)
        return replace(evidence, why=why, missing=missing, stale=True)
    reductions = [each for each in evidence.reductions if each is not None]
    evidence = replace(evidence, basis=_basis(context, reductions))
    said_by = [rule(context, evidence, reductions) for rule in RULES]
    found = [each for each in said_by if each is not None]
    failed = next((each for each in found if each[0] is Outcome.FAILS), None)
    if failed is not None:
        return replace(evidence, outcome=failed[0], why=failed[1])
    if found:
        missing = tuple({m.path: m for each in found for m in each[2]}.values())
        return replace(evidence, why=found[0][1], missing=missing)
    return replace(evidence, outcome=Outcome.MEETS, why=_why(evidence, reductions))


def _basis(context: Context, reductions: Sequence[Reduction]) -> str:
    if all(each.coverage.span_days >= YEAR_DAYS for each in reductions):
        return "twelve_months"
    days = _days(context)
    return "thirty_days" if all(each.coverage.nearly_unbroken_days >= days for each in reductions) else ""


def _why(evidence: Evidence, reductions: Sequence[Reduction]) -> Msg:
    coarse = "" if max(each.step_s for each in reductions) <= 900 else "_coarse"
    days = min(each.coverage.span_days for each in reductions)
    return said(f"load.may.measured_{evidence.basis}{coarse}", days=int(days))


def _length(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """Twelve months, or thirty days without a break."""
    if not evidence.basis:
        days = min(each.coverage.nearly_unbroken_days for each in reductions)
        return Outcome.FAILS, said("load.may.measured_short", days=int(days), least=_days(context)), ()
    return None


def _gaps(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """Readings free of doubt for nine tenths of the time, and in a year for nine tenths of each month."""
    if not evidence.basis:
        return None
    year = evidence.basis == "twelve_months"
    missing = tuple(missing_of(context, each, "file", "gaps") for each in evidence.recordings)
    share = min(each.coverage.share if year else each.coverage.nearly_share for each in reductions)
    if share < LEAST_SHARE:
        return Outcome.CANNOT_TELL, said("load.may.measured_gaps", percent=int(share * 100)), missing
    free = min(each.coverage.share_undoubted / (1 if year else each.coverage.share) for each in reductions)
    if free < LEAST_SHARE:
        return Outcome.CANNOT_TELL, said("load.may.measured_doubtful", percent=int(free * 100)), missing
    thin = tuple(f"{month:02}" for month in range(1, 13) if year and _thin(reductions, month))
    if thin:
        return Outcome.CANNOT_TELL, said("load.may.measured_months", months=thin), missing
    return None


def _thin(reductions: Sequence[Reduction], month: int) -> bool:
    """Whether a month of the year was recorded too little, in all years together."""
    told = [each.quality.months for each in reductions if each.quality.months]
    return any(sum(m.share_undoubted for m in months if m.month == month) < LEAST_SHARE for months in told)


def _interval(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """A thirty-day recording is of quarter hours at most; twelve months of longer intervals give a bound."""
    longest = max(each.step_s for each in reductions)
    if evidence.basis == "thirty_days" and longest > 900:
        return Outcome.FAILS, said("load.may.measured_coarse", minutes=longest // 60), ()
    return None


def _window(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """A whole quarter hour, of what the house draws."""
    if any(each.demand is None for each in reductions):
        return Outcome.FAILS, said("load.may.measured_no_window"), ()
    if any(each.direction == "received" for each in reductions):
        return Outcome.FAILS, said("load.may.measured_received"), ()
    return None


def _sources(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """What hides demand (a source, load management): barred where the edition says so, else its wording is open."""
    listed, managed = hiding_sources(context), peak_shaving(context)
    negative = any(each.quality.sources.negative for each in reductions)
    if listed or negative or managed:
        key = "source" if listed else "negative" if negative else "managed"
        if context.book.rule(RULE).params["peak_shaving"] == "barred":
            return Outcome.FAILS, said(f"load.may.measured_{key}_barred"), ()
        return Outcome.CANNOT_TELL, said(f"load.may.measured_{key}"), ()
    missing = Missing("before/complete.sources", said("todo.complete.sources"), said("todo.how.sources"))
    if any(each.quality.sources.suspected for each in reductions):
        return Outcome.CANNOT_TELL, said("load.may.measured_dips"), (missing,)
    if context.at.house.complete.sources != "yes":
        return Outcome.CANNOT_TELL, said("load.may.measured_sources_unknown"), (missing,)
    return None


def _unit(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """Figures that no house draws are of another unit than was said."""
    for recording, each in zip(evidence.recordings, reductions, strict=True):
        if each.quality.suspect_unit is not None:
            missing = (missing_of(context, recording, "mapping", "unit"),)
            return Outcome.CANNOT_TELL, said("load.may.measured_unit"), missing
    return None


def _leg(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """Which conductors: both together, each leg, or one leg found to be the heavier."""
    first = evidence.recordings[0]
    if first.measures is None or (evidence.both_legs and reductions[0].unit == "A"):
        key = "measured_conductors" if first.measures is None else "measured_both_amperes"
        return Outcome.CANNOT_TELL, said(f"load.may.{key}"), (missing_of(context, first, "measures", "measures"),)
    if evidence.both_legs and evidence.basis == "thirty_days":
        missing = (missing_of(context, first, "measures", "per_leg"),)
        return Outcome.CANNOT_TELL, said("load.may.measured_split"), missing
    if len(evidence.recordings) == 1 and not evidence.both_legs and not first.heavier_leg:
        missing = (missing_of(context, first, "heavier_leg", "heavier_leg"),)
        return Outcome.CANNOT_TELL, said("load.may.measured_one_leg", leg=str(first.measures)), missing
    return None


def _meters(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """Where there are several meters or dwelling units, all that the service supplies, not one meter of it."""
    count = max(len(context.at.house.meters), unit_count(context))
    if count < 2:
        return None
    if any(each.whole_service is False for each in evidence.recordings):
        return Outcome.FAILS, said("load.may.measured_part"), ()
    unsaid = [each for each in evidence.recordings if each.whole_service is None]
    missing = tuple(missing_of(context, each, "whole_service", "whole_service") for each in unsaid)
    return (Outcome.CANNOT_TELL, said("load.may.measured_meters"), missing) if missing else None


def _lived_in(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """Thirty days count only of a house lived in; whether a year of an empty house does is for the inspector."""
    empty = any(each.occupied is False for each in evidence.recordings)
    if evidence.basis != "thirty_days":
        return (Outcome.CANNOT_TELL, said("load.may.measured_empty_year"), ()) if empty else None
    if empty:
        return Outcome.FAILS, said("load.may.measured_empty"), ()
    missing = tuple(
        missing_of(context, each, "occupied", "occupied") for each in evidence.recordings if each.occupied is None
    )
    return (Outcome.CANNOT_TELL, said("load.may.measured_occupied"), missing) if missing else None


def _season(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Said | None:
    """Thirty days are adjusted for the season they do not cover."""
    first = evidence.recordings[0]
    if evidence.basis != "thirty_days" or any(each.season_load_va is not None for each in evidence.recordings):
        return None
    missing = (missing_of(context, first, "season_load_va", "season"),)
    return Outcome.CANNOT_TELL, said("load.may.measured_season"), missing


Rule = Callable[[Context, Evidence, Sequence[Reduction]], "Said | None"]
RULES: tuple[Rule, ...] = (_length, _gaps, _interval, _window, _sources, _unit, _meters, _leg, _lived_in, _season)
