"""What is odd is found, marked, counted, told in spans; and what is plain is left alone."""

from __future__ import annotations

import random

import numpy as np
import pytest

from deadfront.recordings.marks import Mark, mark_of_word, names_of
from deadfront.recordings.quality import examine
from deadfront.recordings.reduce import coverage_of, reduce
from deadfront.recordings.series import total
from deadfront.recordings.trouble import RecordingUnreadable
from deadfront.results.recordings import Provenance
from tests.recordings.making import T0, series
from tests.recordings.test_windows import house

DAY = 1440
FROM = Provenance("0" * 64, "csv", ("x",), "", "test")


def count(mean: list[float], mark: Mark, step_s: int = 60) -> int:
    """Readings that an examination marks so."""
    marked, report = examine(series(mean, step_s))
    told = sum(each.readings for each in report.findings if each.mark == names_of(mark)[0])
    assert told == int(((marked.marks & int(mark)) != 0).sum())
    return told


@pytest.mark.parametrize("seed", range(5))
def test_a_copied_stretch_is_found_and_no_more(seed: int) -> None:
    power = house(DAY * 4, seed)
    assert count(power, Mark.REPEATED_DAY) == 0
    copied = power[: DAY * 2 + 300] + power[DAY + 300 : DAY + 700] + power[DAY * 2 + 700 :]
    assert count(copied, Mark.REPEATED_DAY) == 400


def test_standby_that_repeats_by_chance_is_left_alone() -> None:
    dice = random.Random(1)
    standby = [dice.choice([100.0, 102.0, 104.0]) for _ in range(DAY * 5)]
    assert count(standby, Mark.REPEATED_DAY) == 0
    assert count([100.0] * DAY * 3, Mark.REPEATED_DAY) == 0


def test_quarter_hours_copied_for_a_day() -> None:
    dice = random.Random(2)
    power = [round(dice.uniform(200, 6_000)) * 1.0 for _ in range(96 * 10)]
    power[96 * 5 : 96 * 6] = power[96 * 4 : 96 * 5]
    assert count(power, Mark.REPEATED_DAY, 900) == 96


def test_readings_that_stand_still() -> None:
    power = house(DAY, 4)
    assert count(power, Mark.STUCK) == 0
    assert count(power[:500] + [4_321.0] * 240 + power[500:], Mark.STUCK) == 240
    assert count(power[:500] + [4_321.0] * 100 + power[500:], Mark.STUCK) == 0  # hand: less than three hours
    assert count(power[:500] + [0.0] * 600 + power[500:], Mark.STUCK) == 0  # an outage of ten hours is no defect
    assert count(power[:500] + [0.0] * 1440 + power[500:], Mark.STUCK) == 1440
    coarse = [1_000.0 * (1 + at // 20 % 3) for at in range(200)]  # whole kWh by the hour
    assert count(coarse, Mark.STUCK, 3600) == 0


@pytest.mark.parametrize(("factor", "told"), [(1.0, None), (1e-3, 1e3), (1e3, 1e-3)])
def test_figures_no_house_draws(factor: float, told: float | None) -> None:
    power = [watts * factor for watts in house(DAY, 5)]
    marked, report = examine(series(power))
    assert (report.suspect_unit.factor if report.suspect_unit else None) == told
    assert bool((marked.marks & int(Mark.SUSPECT_UNIT)).all()) == (told is not None)
    assert marked.mean.tolist() == power  # said, never repaired


def test_gaps_and_coverage() -> None:
    start = [T0 + 60 * at for at in range(DAY * 60) if not (DAY <= at < DAY + 30 or DAY * 45 <= at < DAY * 46)]
    made = series([500.0 + at % 7 for at in range(len(start))], start=start)
    _, report = examine(made)
    assert (report.gaps.count, report.gaps.missing_s) == (2, 30 * 60 + 86_400)
    assert [span.last_s - span.first_s for span in report.gaps.spans] == [1_800, 86_400]
    coverage = coverage_of(made)
    assert coverage.span_days == 60 and coverage.thirty_days and not coverage.twelve_months
    assert coverage.unbroken_days == pytest.approx(44 - 30 / DAY)  # hand: from half past midnight on day 1 to day 45
    assert coverage.nearly_unbroken_days == 45
    assert coverage.nearly_share == pytest.approx(1 - 30 / (45 * DAY))
    assert coverage.share == pytest.approx(1 - (DAY + 30) / (60 * DAY))


def test_months_and_shares() -> None:
    made = series([500.0] * (24 * 45), 3600)  # from March 1
    months = examine(made)[1].months
    assert [(each.month, round(each.share, 3)) for each in months] == [(3, 1.0), (4, round(14 / 30, 3))]


def sun(day_w: float) -> list[float]:
    """Two weeks by the quarter hour that sink to `day_w` from 9 to 15 h."""
    dice = random.Random(8)
    return [day_w if 9 <= at // 4 % 24 < 15 else 800 + dice.random() * 900 for at in range(96 * 14)]


@pytest.mark.parametrize(("day_w", "suspected"), [(0.0, True), (-2_000.0, True), (900.0, False)])
def test_a_source_shows_by_day(day_w: float, suspected: bool) -> None:
    signs = examine(series(sun(day_w), 900))[1].sources
    assert signs.suspected is suspected
    assert signs.midday_dips == (14 if suspected else 0)
    assert (signs.negative > 0) == (day_w < 0)


def test_an_empty_house_shows_in_the_evenings() -> None:
    lived = [2_000.0 + at % 5 if 17 <= at // 4 % 24 < 23 else 300.0 + at % 7 for at in range(96 * 28)]
    away = [300.0 + at % 7 if 96 * 7 <= at < 96 * 17 else watts for at, watts in enumerate(lived)]
    assert examine(series(lived, 900))[1].occupancy.longest_quiet_days == 0
    facts = examine(series(away, 900))[1].occupancy
    assert facts.longest_quiet_days == 10
    assert facts.evenings == pytest.approx(18 / 28)


def test_both_legs_together() -> None:
    first, second = series([1_000.0, 2_000.0, 3_000.0]), series([10.0, 20.0, 30.0], start=[T0, T0 + 60, T0 + 180])
    both = total(first, second)
    assert both.mean.tolist() == [1_010.0, 2_020.0]
    with pytest.raises(RecordingUnreadable):
        total(first, series([1.0], start=[T0 + 5_000]))


def test_every_reading_keeps_a_mark() -> None:
    marked, report = examine(series(house(DAY * 3, 6)))
    assert (marked.marks != 0).all() and report.readings == len(marked.marks)
    both = marked.marked(np.ones(len(marked.marks), dtype=bool), Mark.EDITED)
    assert not (both.marks & int(Mark.VALID)).any()
    assert reduce(marked, report, FROM).demand is not None


@pytest.mark.parametrize(("word", "mark"), [("OK", 0), ("E", Mark.ESTIMATED), ("Interpolated", Mark.GAP_FILLED),
                                            ("Manual entry", Mark.EDITED), ("weird", Mark.QUESTIONED)])  # fmt: skip
def test_words_of_quality(word: str, mark: int) -> None:
    assert mark_of_word(word) == mark
