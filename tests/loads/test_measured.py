"""The measured demand: figures, refusals by edition and source, and what it waits for.

Expected figures: hand, the working beside each.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from deadfront.codebook.amendments import Amendment
from deadfront.job.house import Tag
from deadfront.job.things import Complete, EnergyManagement, Load, Meter, Recording, Source
from deadfront.loads.rules.answer import load_answer
from deadfront.loads.rules.context import Context
from deadfront.results.loads import LoadResult, Method
from deadfront.results.recordings import (
    Coverage,
    Demand,
    Gaps,
    Month,
    Occupancy,
    Peak,
    Provenance,
    QualityReport,
    Reduction,
    SourceSigns,
    SuspectUnit,
)
from deadfront.worksheet.check import Outcome, Severity
from tests.loads.test_edges import EVSE, house, outcome, service

DAY = 86_400
RANGE = Load(id="l-ra", kind="range", nameplate_w=Decimal(12000))
YEAR = Recording(
    id="r-01", name="Utility data", sha256="0" * 64, measures="both legs", taken="utility", power_factor=Decimal(1),
    added_since_va=Decimal(0),
)  # fmt: skip
LEG = YEAR.model_copy(update={
    "name": "Recorder", "measures": "L1", "taken": "recorder", "occupied": True, "season_load_va": Decimal(0),
    "heavier_leg": True,
})  # fmt: skip


def reduction(
    low: float = 7200, high: float | None = 7200, *, block: tuple[float, float] | None = None, days: float = 365,
    unit: str = "W", step_s: int = 900, share: float = 1.0, marks: tuple[str, ...] = ("valid",), negative: int = 0,
    suspected: bool = False, direction: str = "", suspect: SuspectUnit | None = None, first_s: int = 0,
    undoubted: float = 1.0, months: tuple[Month, ...] = (),
) -> Reduction:  # fmt: skip
    """What a recording comes to: its peak, and no more than the rules look at."""
    at = block or (low, low if high is None else high)
    demand = Demand(Peak(*at, 0, marks), Peak(low, high, 0, marks), (), 100, 0, None)
    coverage = Coverage(days, share, share * undoubted, days, days, share, 3600, days >= 30, days >= 365)
    signs = SourceSigns(negative, int(days), 0, suspected)
    last_s = first_s + int(days * DAY)
    quality = QualityReport(100, step_s, first_s, last_s, 100, (), Gaps(0, 0, ()), 0, 0, 0, 0, 0, months,
                            Occupancy(None, None, None, None, 0), signs, suspect)  # fmt: skip
    return Reduction(Provenance("0" * 64, "csv", ("kWh",), "", "0"), unit, "", direction, False, step_s, True, demand,
                     demand, None, (), (), (), coverage, quality)  # fmt: skip


def measured(
    *recordings: Recording, by: dict[str, Reduction], loads: tuple[Load, ...] = (RANGE,), **more: Any
) -> Context:
    """The small house with recordings, every source looked for."""
    more = {"complete": Complete(loads="yes", sources="yes"), **more}
    context = house(*loads, recordings=recordings, **more)
    things = (*recordings, *context.at.house.sources)
    tags = {**context.at.tags, **{each.id: Tag("E", "before") for each in things}}
    return replace(context, measured=by, at=replace(context.at, tags=tags))


def of(context: Context) -> tuple[LoadResult, Method]:
    answer = load_answer(context, "measured")
    method = answer.method("measured")
    assert method is not None
    return answer, method


def ends(method: Method) -> tuple[Decimal, Decimal | None]:
    assert method.total is not None
    return method.total.value.low, method.total.value.high


def test_twelve_months_of_utility_data() -> None:
    """7,200 W at power factor 1, a quarter more: 9,000 VA; a new 48 A EVSE at 240 V whole: 11,520; 20,520 VA, 86 A."""
    context = measured(YEAR, by={"r-01": reduction()}, loads=(RANGE, EVSE), new=("l-ev",))
    answer, method = of(context)
    assert (method.admissible, method.verdict) == (Outcome.MEETS, Outcome.MEETS)
    assert ends(method) == (20520, 20520)
    assert method.rounded is not None and method.rounded.value.low == 86  # 85.5, half up
    assert answer.offered in ("measured", "optional", "existing")
    assert outcome(answer, "load.measured_split") is Outcome.CANNOT_TELL
    assert outcome(answer, "load.measured_evidence") is Outcome.MEETS


def test_what_was_there_is_measured_and_no_longer_counted() -> None:
    """The 12 kW range is in the recording; nothing of it is added, and taking it out subtracts nothing."""
    both = measured(YEAR, by={"r-01": reduction()})
    without = measured(YEAR, by={"r-01": reduction()}, loads=())
    assert ends(of(both)[1]) == ends(of(without)[1]) == (9000, 9000)


def test_an_open_list_of_loads_does_not_open_the_measured_demand() -> None:
    context = measured(YEAR, by={"r-01": reduction()}, complete=Complete(sources="yes"))
    assert ends(of(context)[1]) == (9000, 9000)


@pytest.mark.parametrize(("edition", "least"), [("2023", 7200), ("2020", 3840), ("2017", 3840), ("2014", 3840)])
def test_a_new_evse_counts_as_its_edition_says(edition: str, least: int) -> None:
    """16 A x 240 V = 3,840 VA; at least 7,200 VA in 2023 (220.57). On 9,000 VA measured."""
    small = EVSE.model_copy(update={"nameplate_a": Decimal(16)})
    context = measured(YEAR, by={"r-01": reduction()}, loads=(small,), new=("l-ev",), edition=edition)
    assert ends(of(context)[1]) == (9000 + least, 9000 + least)


@pytest.mark.parametrize(("chosen", "low", "high"), [
    # Block 7,200 W; a window across two intervals up to 13,000 W: 16,250 VA. Times 1.25.
    ("", 9000, 16250), ("clock_quarter_hours", 9000, 9000), ("any_quarter_hour", 9000, 16250),
])  # fmt: skip
def test_where_a_quarter_hour_begins_is_a_reading(chosen: str, low: int, high: int) -> None:
    by = {"r-01": reduction(7200, 13000, block=(7200, 7200))}
    readings = {"measured_demand": chosen} if chosen else {}
    _, method = of(measured(YEAR, by=by, readings=readings))
    assert ends(method) == (low, high)
    assert method.readings[0].by == ("job" if chosen else "larger")


def test_power_factor() -> None:
    """Unknown: 9,000 VA up. 0.9: 7,200 / 0.9 x 1.25 = 10,000. Assumed 0.85 to 1: 9,000 to 10,588.2, never a pass."""
    unknown = YEAR.model_copy(update={"power_factor": None})
    by = {"r-01": reduction()}
    _, method = of(measured(unknown, by=by))
    assert ends(method) == (9000, None)
    assert [m.path for m in method.waits_for()] == ["before/r-01.power_factor"]
    assert method.verdict is Outcome.CANNOT_TELL
    known = YEAR.model_copy(update={"power_factor": Decimal("0.9")})
    assert ends(of(measured(known, by=by))[1]) == (10000, 10000)
    answer, method = of(measured(unknown, by=by, assumptions=("power_factor_085",)))
    low, high = ends(method)
    assert low == 9000 and high is not None and round(high, 1) == Decimal("10588.2")
    assert method.verdict is Outcome.CANNOT_TELL
    assert outcome(answer, "load.assumption") is Outcome.CANNOT_TELL


def test_va_and_amperes_need_no_power_factor() -> None:
    """7,200 VA: 9,000. A leg of 30 A: 30 x 240 = 7,200 VA, 9,000."""
    bare = YEAR.model_copy(update={"power_factor": None})
    assert ends(of(measured(bare, by={"r-01": reduction(unit="VA")}))[1]) == (9000, 9000)
    leg = LEG.model_copy(update={"power_factor": None})
    assert ends(of(measured(leg, by={"r-01": reduction(30, 30, unit="A", days=31)}))[1]) == (9000, 9000)


def test_thirty_days_work_on_the_heavier_leg() -> None:
    """L1 3,600 W / 120 V = 30 A, L2 4,800 W = 40 A: 40 A x 240 V = 9,600 VA; 1,000 VA of season: 10,600; 13,250."""
    other = LEG.model_copy(update={"id": "r-02", "measures": "L2", "heavier_leg": None})
    first = LEG.model_copy(update={"heavier_leg": None, "season_load_va": Decimal(1000)})
    by = {"r-01": reduction(3600, 3600, days=31), "r-02": reduction(4800, 4800, days=31)}
    answer, method = of(measured(first, other, by=by))
    assert ends(method) == (13250, 13250) and method.admissible is Outcome.MEETS
    assert len(answer.evidence) == 1


def test_legs_recorded_at_different_times_are_no_pair() -> None:
    other = LEG.model_copy(update={"id": "r-02", "measures": "L2", "heavier_leg": None})
    first = LEG.model_copy(update={"heavier_leg": None})
    by = {"r-01": reduction(days=31), "r-02": reduction(days=31, first_s=20 * DAY)}
    answer, method = of(measured(first, other, by=by))
    assert len(answer.evidence) == 2 and method.admissible is Outcome.CANNOT_TELL


def test_thirty_days_of_the_total_bound_the_heavier_leg() -> None:
    """7,200 W: 7,200 VA if alike on both legs, 14,400 if all on one; 9,000 to 18,000."""
    total = LEG.model_copy(update={"measures": "both legs"})
    _, method = of(measured(total, by={"r-01": reduction(days=31)}))
    assert method.admissible is Outcome.CANNOT_TELL and ends(method) == (9000, 18000)
    assert "before/r-01.measures" in [m.path for m in method.waits_for()]


@pytest.mark.parametrize(("field", "value", "expected"), [
    ("occupied", None, Outcome.CANNOT_TELL), ("occupied", False, Outcome.FAILS),
    ("season_load_va", None, Outcome.CANNOT_TELL), ("heavier_leg", None, Outcome.CANNOT_TELL),
    ("measures", None, Outcome.CANNOT_TELL),
])  # fmt: skip
def test_each_missing_fact_of_thirty_days(field: str, value: object, expected: Outcome) -> None:
    leg = LEG.model_copy(update={field: value})
    answer, method = of(measured(leg, by={"r-01": reduction(days=31)}))
    assert method.admissible is expected
    assert method.verdict is not Outcome.MEETS
    assert outcome(answer, "load.measured_evidence") is expected
    if expected is Outcome.CANNOT_TELL:
        assert [m.path for m in method.missing] == [f"before/r-01.{field}"]


@pytest.mark.parametrize(("found", "expected"), [
    (reduction(days=29.9), Outcome.FAILS),  # neither 30 days nor twelve months
    (reduction(days=31, step_s=1800), Outcome.FAILS),  # the 30-day recording is of 15 minutes
    (reduction(days=31, direction="received"), Outcome.FAILS),
    (replace(reduction(days=31), demand=None), Outcome.FAILS),
    (reduction(days=31, suspect=SuspectUnit(7.2, 1000)), Outcome.CANNOT_TELL),
    (reduction(days=31, suspected=True), Outcome.CANNOT_TELL),
    (reduction(days=366, share=0.89), Outcome.CANNOT_TELL),
    (reduction(days=366, share=0.91), Outcome.MEETS),
    (reduction(days=366, undoubted=0.89), Outcome.CANNOT_TELL),
    (reduction(days=31, undoubted=0.89), Outcome.CANNOT_TELL),
    (reduction(days=31, undoubted=0.91), Outcome.MEETS),
    (reduction(days=31, share=0.89), Outcome.CANNOT_TELL),  # gaps of less than an hour each, all over the time
    (reduction(days=31), Outcome.MEETS),
])  # fmt: skip
def test_what_a_recording_must_be(found: Reduction, expected: Outcome) -> None:
    assert of(measured(LEG, by={"r-01": found}))[1].admissible is expected


def test_an_hour_is_a_bound_over_twelve_months() -> None:
    """6 kWh in an hour: 6,000 to 24,000 W in some quarter hour; times 1.25."""
    _, method = of(measured(YEAR, by={"r-01": reduction(6000, 24000, step_s=3600)}))
    assert (ends(method), method.admissible) == ((7500, 30000), Outcome.MEETS)
    assert method.why.key == "load.may.measured_twelve_months_coarse"


SOLAR = Source(id="s-01", kind="solar")


@pytest.mark.parametrize(("edition", "expected"), [
    ("2014", Outcome.CANNOT_TELL), ("2017", Outcome.CANNOT_TELL), ("2020", Outcome.FAILS),
    ("2023", Outcome.CANNOT_TELL),
])  # fmt: skip
@pytest.mark.parametrize("negative", [0, 5])
def test_a_source_that_hides_demand(edition: str, expected: Outcome, negative: int) -> None:
    """2020 bars it; the scope of the other editions is not known (digest of load rules, section 7)."""
    sources = () if negative else (SOLAR,)
    answer, method = of(measured(YEAR, by={"r-01": reduction(negative=negative)}, sources=sources, edition=edition))
    assert method.admissible is expected and method.verdict is not Outcome.MEETS
    if sources:
        assert outcome(answer, "load.measured_source") is expected


def test_a_source_the_work_adds_hid_nothing() -> None:
    context = measured(YEAR, by={"r-01": reduction()}, sources=(SOLAR,), edition="2020")
    tags = {**context.at.tags, "s-01": Tag("N", "w-01")}
    later = replace(context, at=replace(context.at, tags=tags))
    assert of(context)[1].admissible is Outcome.FAILS
    assert of(later)[1].admissible is Outcome.MEETS


def test_a_generator_hides_nothing_and_unlooked_sources_are_asked() -> None:
    generator = Source(id="s-01", kind="generator")
    assert of(measured(YEAR, by={"r-01": reduction()}, sources=(generator,)))[1].admissible is Outcome.MEETS
    _, method = of(measured(YEAR, by={"r-01": reduction()}, complete=Complete(loads="yes")))
    assert method.admissible is Outcome.CANNOT_TELL
    assert [m.path for m in method.missing] == ["before/complete.sources"]


def test_2026_is_not_held_and_an_amendment_bars() -> None:
    answer, method = of(measured(YEAR, by={"r-01": reduction()}, edition="2026"))
    assert (method.total, answer.evidence) == (None, ())
    barred = Amendment(name="Local", barred=("measured_demand",))
    _, method = of(measured(YEAR, by={"r-01": reduction()}, amendments=(barred,)))
    assert method.admissible is Outcome.FAILS and method.total is None


def test_a_recording_to_be_reduced_bars_whatever_is_relied_on() -> None:
    context = measured(YEAR, by={})
    for relied in ("measured", "standard"):
        answer = load_answer(context, relied)
        found = next(c for c in answer.checks if c.id == "load.measured_evidence")
        assert (found.outcome, found.severity) == (Outcome.CANNOT_TELL, Severity.CORRECT)
        assert [m.path for m in found.missing] == ["before/r-01.sha256"]
    assert of(context)[1].total is None


def test_without_a_recording_the_method_does_not_apply() -> None:
    _, method = of(house(RANGE))
    assert method.admissible is Outcome.NOT_APPLICABLE


def test_three_phases_are_refused() -> None:
    context = measured(YEAR, by={"r-01": reduction()}, service=service(system="208Y/120 3ph 4w"))
    assert of(context)[1].admissible is Outcome.FAILS


def test_the_largest_of_those_that_may_stand() -> None:
    """9,600 W of a second year beats 7,200: 12,000 VA; a refused one with more does not count."""
    second, third = (YEAR.model_copy(update={"id": f"r-0{n}"}) for n in (2, 3))
    by = {"r-01": reduction(), "r-02": reduction(9600, 9600), "r-03": reduction(99000, 99000, days=20)}
    assert ends(of(measured(YEAR, second, third, by=by))[1]) == (12000, 12000)


def test_doubtful_readings_under_the_peak_are_said() -> None:
    answer, method = of(measured(YEAR, by={"r-01": reduction(marks=("gap_filled",))}))
    assert outcome(answer, "load.measured_quality") is Outcome.CANNOT_TELL
    assert ends(method) == (9000, 9000)


def months(**share: float) -> tuple[Month, ...]:
    """A year of whole months, some of them thinner: m07=0.5 is half of July."""
    return tuple(Month(2025, n, 1.0, share.get(f"m{n:02}", 1.0)) for n in range(1, 13))


@pytest.mark.parametrize(("found", "expected"), [
    (months(), Outcome.MEETS), (months(m07=0.91), Outcome.MEETS), (months(m07=0.5), Outcome.CANNOT_TELL),
    (months()[:11], Outcome.CANNOT_TELL),
    # A recording that begins in the middle of a month: its two halves are one month.
    ((Month(2024, 7, 0.5, 0.5), *months(m07=0.5)), Outcome.MEETS),
])  # fmt: skip
def test_no_month_of_a_year_may_be_missing(found: tuple[Month, ...], expected: Outcome) -> None:
    """The hottest weeks may be the ones not recorded; 90 % of each month, ours (the code names no share)."""
    _, method = of(measured(YEAR, by={"r-01": reduction(days=366, months=found)}))
    assert method.admissible is expected
    if expected is Outcome.CANNOT_TELL:
        assert method.why.key == "load.may.measured_months" and len(method.why.params["months"]) == 1


def test_what_was_connected_since_is_in_no_reading() -> None:
    """7,200 W: 9,000 VA; 4,800 VA connected since: 13,800. Not said: 9,000 up, and asked for."""
    known = YEAR.model_copy(update={"added_since_va": Decimal(4800)})
    assert ends(of(measured(known, by={"r-01": reduction()}))[1]) == (13800, 13800)
    unsaid = YEAR.model_copy(update={"added_since_va": None})
    _, method = of(measured(unsaid, by={"r-01": reduction()}))
    assert ends(method) == (9000, None) and method.verdict is Outcome.CANNOT_TELL
    assert [m.path for m in method.waits_for()] == ["before/r-01.added_since_va"]


@pytest.mark.parametrize(("edition", "expected"), [
    ("2014", Outcome.CANNOT_TELL), ("2017", Outcome.CANNOT_TELL), ("2020", Outcome.FAILS),
    ("2023", Outcome.CANNOT_TELL),
])  # fmt: skip
def test_energy_management_that_was_there_shaved_the_peak(edition: str, expected: Outcome) -> None:
    """Any form of peak load shaving (digest of load rules, section 7); a system that the work adds shaved nothing."""
    system = EnergyManagement(id="s-em", name="Manager")
    context = measured(YEAR, by={"r-01": reduction()}, energy_management=(system,), edition=edition)
    tags = {**context.at.tags, "s-em": Tag("E", "before")}
    answer, method = of(replace(context, at=replace(context.at, tags=tags)))
    assert method.admissible is expected and "managed" in method.why.key
    assert outcome(answer, "load.measured_source") is expected
    new = replace(context, at=replace(context.at, tags={**tags, "s-em": Tag("N", "w-01")}))
    assert of(new)[1].admissible is Outcome.MEETS


def test_a_year_of_an_empty_house_is_for_the_inspector() -> None:
    empty = YEAR.model_copy(update={"occupied": False})
    _, method = of(measured(empty, by={"r-01": reduction()}))
    assert (method.admissible, method.why.key) == (Outcome.CANNOT_TELL, "load.may.measured_empty_year")


def test_the_season_of_either_leg_counts_and_the_larger_one() -> None:
    """L1 3,600 W / 120 V = 30 A on both: 7,200 VA; 1,000 and 2,000 VA of season: 9,200; times 1.25: 11,500."""
    first = LEG.model_copy(update={"season_load_va": Decimal(1000)})
    other = LEG.model_copy(update={"id": "r-02", "measures": "L2", "season_load_va": Decimal(2000)})
    by = {"r-01": reduction(3600, 3600, days=31), "r-02": reduction(3600, 3600, days=31)}
    assert ends(of(measured(first, other, by=by))[1]) == (11500, 11500)
    unsaid = first.model_copy(update={"season_load_va": None})
    assert ends(of(measured(unsaid, other, by=by))[1]) == (11500, 11500)


def test_a_larger_recording_that_may_not_stand_is_not_passed_over() -> None:
    """20 days with 9,600 W beside a year with 7,200 W: the year stands, and the larger one is said and bars."""
    second = YEAR.model_copy(update={"id": "r-02"})
    by = {"r-01": reduction(), "r-02": reduction(9600, 9600, days=20)}
    answer, method = of(measured(YEAR, second, by=by))
    assert ends(method) == (9000, 9000)
    found = next(c for c in answer.checks if c.id == "load.measured_larger")
    assert (found.outcome, found.severity, found.thing) == (Outcome.CANNOT_TELL, Severity.CORRECT, "r-02")
    by["r-02"] = reduction(7200, 7200, days=20)
    assert not [c for c in of(measured(YEAR, second, by=by))[0].checks if c.id == "load.measured_larger"]


def test_a_quarter_hour_with_readings_missing_may_already_pass_the_largest_whole_one() -> None:
    """Two of three readings give 8,000 W with nothing for the third: at least 8,000 x 1.25 = 10,000 VA, no end."""
    found = reduction()
    assert found.demand is not None
    partly = replace(found, demand=replace(found.demand, incomplete=1, incomplete_low=8000.0))
    assert ends(of(measured(YEAR, by={"r-01": partly}))[1]) == (10000, None)
    below = replace(found, demand=replace(found.demand, incomplete=1, incomplete_low=7200.0))
    assert ends(of(measured(YEAR, by={"r-01": below}))[1]) == (9000, 9000)


@pytest.mark.parametrize(("whole", "expected"), [
    (None, Outcome.CANNOT_TELL), (False, Outcome.FAILS), (True, Outcome.MEETS),
])  # fmt: skip
def test_one_of_several_meters_is_a_part_of_the_service(whole: bool | None, expected: Outcome) -> None:
    """A second meter, as for an EV rate, carries load that the first one never saw."""
    recording = YEAR.model_copy(update={"whole_service": whole})
    meters = (Meter(id="m-01"), Meter(id="m-02"))
    context = measured(recording, by={"r-01": reduction()}, meters=meters)
    _, method = of(context)
    assert method.admissible is expected
    if whole is None:
        assert [m.path for m in method.missing] == ["before/r-01.whole_service"]
    one = measured(YEAR, by={"r-01": reduction()}, meters=meters[:1])
    assert of(one)[1].admissible is Outcome.MEETS, "with one meter it is not asked"
