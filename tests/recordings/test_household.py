"""Held against the measured household: its table of peaks, phases, windows; its filled rows; and SQL of another engine.

The published figures are those of the project's digest of that data set (not ours): clock-aligned 15-minute peak, range
over the 15 phases, worst and median 30-day window, and 25,913 rows filled with the row 24 hours earlier.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import duckdb
import numpy as np
import pytest

from deadfront.recordings.answer import Reduction
from deadfront.recordings.grid import grid_of
from deadfront.recordings.marks import Mark
from deadfront.recordings.quality import examine
from deadfront.recordings.recording import Recording
from deadfront.recordings.repeats import runs
from deadfront.recordings.series import Series, series_of
from deadfront.recordings.windows import demand_of
from deadfront.results.recordings import reduction_from_json, reduction_to_json
from tests.recordings.conftest import POWER
from tests.recordings.household import ROWS

DAY = 1440

YEARS = {  # published: peak, lowest and highest over the phases [kW], worst and median 30-day share
    2007: (8.258, 8.187, 8.688, 0.582, 0.842),
    2008: (8.383, 7.857, 8.457, 0.467, 0.840),
    2009: (8.566, 7.662, 8.566, 0.480, 0.701),
}


def test_every_row_is_read(household: Recording) -> None:
    assert household.rows == ROWS
    assert household.unread.rows == household.unread.cells == 0
    assert household.reader == "columns"


@pytest.mark.parametrize("year", YEARS)
def test_peaks_phases_and_windows(year: int, of_year: Callable[[int], Reduction]) -> None:
    peak, lowest, highest, worst, median = YEARS[year]
    made = of_year(year)
    assert made.demand is not None and made.thirty_days is not None
    assert round(made.demand.block.low / 1000, 3) == peak
    assert made.demand.block.high == made.demand.block.low and made.exact
    phases = [phase.peak / 1000 for phase in made.demand.phases]
    assert len(phases) == 15
    assert (round(min(phases), 3), round(max(phases), 3)) == (lowest, highest)
    assert round(made.thirty_days.worst, 3) == worst
    assert round(made.thirty_days.median, 3) == pytest.approx(median, abs=0.0011)
    assert round(made.demand.sliding.low / 1000, 3) == highest  # hand: a sliding window by the minute has 15 phases


@pytest.mark.parametrize(("window", "peak"), [(1, 11.122), (15, 8.566), (30, 7.876), (60, 6.561)])
def test_longer_means_lower(window: int, peak: float, household: Recording) -> None:
    """Published for all years: 1 min 11.122, 15 8.566, 30 min 7.876, 60 min 6.561 kW; our bounds hold the truth."""
    power = series_of(household, POWER)
    first = -(-int(power.start_s[0]) // 3600) * 3600  # the first whole hour
    last = int(power.start_s[-1]) // 3600 * 3600
    power = power.cut(first, last)
    means = power.mean.reshape(-1, window).mean(axis=1)
    assert round(float(means.max()) / 1000, 3) == peak
    if window < 15:
        return
    length = np.full(len(means), window * 60)
    coarse = replace(power, start_s=power.start_s[::window], length_s=length, mean=means,
                     marks=power.marks[::window], step_s=window * 60)  # fmt: skip
    demand = demand_of(grid_of(coarse), True)
    assert demand is not None and demand.block.high is not None and demand.sliding.high is not None
    assert demand.block.low <= 8566.14 and demand.block.high >= 8566.13
    assert demand.sliding.low <= 8687.6 <= demand.sliding.high  # the largest by the minute, of 2007
    times = window // 15  # hand: an hour's block is bounded by 4 times its mean power
    assert demand.block.high == pytest.approx(float(means.max()) * times)
    pair = float((means[1:] + means[:-1]).max()) * times  # hand: two adjoining intervals hold a straddling window
    assert demand.sliding.high == pytest.approx(max(pair, demand.block.high))


def equal_rows(file: Path) -> set[int]:
    """Row numbers equal to the row 24 hours earlier in all seven columns, in runs of three or more, by SQL."""
    names = ["Global_active_power", "Global_reactive_power", "Voltage", "Global_intensity"]
    names += ["Sub_metering_1", "Sub_metering_2", "Sub_metering_3"]
    same = " AND ".join(f"{name} = lag({name}, 1440) OVER w" for name in names)
    found = duckdb.sql(f"""
        WITH r AS (SELECT row_number() OVER () AS n, * FROM read_csv('{file.as_posix()}')),
             e AS (SELECT n, coalesce({same}, false) AS same FROM r WINDOW w AS (ORDER BY n)),
             g AS (SELECT n, n - row_number() OVER (ORDER BY n) AS run FROM e WHERE same)
        SELECT n - 1 FROM (SELECT n, count(*) OVER (PARTITION BY run) AS length FROM g) WHERE length >= 3
    """).fetchnumpy()
    return {int(each) for each in next(iter(found.values()))}


@pytest.fixture(scope="module")
def filled(household_file: Path) -> set[int]:
    """The filled rows, by another engine."""
    return equal_rows(household_file)


def test_filled_rows_are_found(filled: set[int], marked: Series) -> None:
    assert len(filled) == 25_913  # published
    ours = set(np.flatnonzero(marked.marks & int(Mark.REPEATED_DAY)).tolist())
    assert len(ours & filled) >= 0.99 * len(filled)
    first, length = runs((marked.marks & int(Mark.REPEATED_DAY)) != 0)
    assert int(length.max()) == 7_226  # published, from 2010-08-17 21:02
    start = np.datetime64(int(marked.start_s[first[length.argmax()]]), "s")
    assert str(start) == "2010-08-17T21:02:00"


def test_filled_rows_are_found_from_power_alone(filled: set[int], household: Recording) -> None:
    alone, _ = examine(series_of(household, POWER))
    ours = set(np.flatnonzero(alone.marks & int(Mark.REPEATED_DAY)).tolist())
    assert len(ours & filled) >= 0.99 * len(filled)
    assert len(ours - filled) <= 0.001 * len(filled)


def test_no_clean_day_is_flagged(filled: set[int], marked: Series, household: Recording) -> None:
    alone, _ = examine(series_of(household, POWER))
    flagged = (marked.marks | alone.marks) & int(Mark.REPEATED_DAY)
    dirty = {row // DAY for row in filled}
    clean = [day for day in range(1, ROWS // DAY) if day not in dirty]
    chosen = random.Random(7).sample(clean, 100)
    wrong = [day for day in chosen if flagged[day * DAY : (day + 1) * DAY].any()]
    assert wrong == []


@pytest.mark.parametrize("year", YEARS)
def test_sql_of_another_engine_agrees(year: int, household_file: Path, of_year: Callable[[int], Reduction]) -> None:
    source = f"read_csv('{household_file.as_posix()}') WHERE year(date_time) = {year}"
    block = duckdb.sql(
        f"SELECT max(p) FROM (SELECT avg({POWER}) AS p FROM {source} "
        "GROUP BY time_bucket(INTERVAL 15 MINUTE, date_time))"
    ).fetchall()[0]
    sliding = duckdb.sql(f"""
        SELECT max(p) FROM (SELECT avg({POWER}) OVER w AS p, count(*) OVER w AS n FROM {source}
        WINDOW w AS (ORDER BY date_time RANGE BETWEEN INTERVAL 14 MINUTE PRECEDING AND CURRENT ROW)) WHERE n = 15
    """).fetchall()[0]
    demand = of_year(year).demand
    assert demand is not None
    assert demand.block.low / 1000 == pytest.approx(block[0], rel=1e-9)
    assert demand.sliding.low / 1000 == pytest.approx(sliding[0], rel=1e-9)


def test_the_year_is_told_as_it_is(of_year: Callable[[int], Reduction]) -> None:
    made = of_year(2007)
    assert made.coverage.twelve_months and made.coverage.thirty_days
    assert made.coverage.share == 1.0 and made.coverage.share_undoubted < 0.995  # 3,907 of 525,600 rows were filled
    assert not made.quality.sources.suspected  # no source in this house
    assert len(made.days) == 365 and len(made.quality.months) == 12
    assert made.duration[0][1] == pytest.approx(made.demand.block.low if made.demand else 0)
    assert all(later[1] <= earlier[1] for earlier, later in zip(made.duration, made.duration[1:], strict=False))
    assert len(made.peak_week) == 7 * 96
    assert all(point.marks for point in made.peak_week)


def test_a_reduction_survives_json(of_year: Callable[[int], Reduction]) -> None:
    made = of_year(2008)
    assert reduction_from_json(json.loads(json.dumps(reduction_to_json(made)))) == made
