"""Windows against brute force: blocks, sliding windows, and the bounds of coarse data hold what truly happened."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from deadfront.recordings.grid import grid_of
from deadfront.recordings.marks import Mark
from deadfront.recordings.quality import examine
from deadfront.recordings.reduce import duration_curve, reduce
from deadfront.recordings.windows import demand_of
from deadfront.results.recordings import Provenance
from tests.recordings.making import T0, series

FROM = Provenance("0" * 64, "csv", ("x",), "", "test")


def house(minutes: int, seed: int) -> list[float]:
    """A made-up house by the minute: standby and loads of some length, in steps that never fall below zero."""
    dice = random.Random(seed)
    power = [150.0 + dice.random() * 50 for _ in range(minutes)]
    for _ in range(minutes // 12):
        start, length, watts = dice.randrange(minutes), dice.randrange(1, 40), dice.choice([300, 1500, 4500, 9600])
        for at in range(start, min(start + length, minutes)):
            power[at] += watts
    return power


def brute(power: list[float], step: int) -> float:
    """The largest mean of 15 whole minutes that begin at a multiple of `step` minutes."""
    return max(sum(power[at : at + 15]) / 15 for at in range(0, len(power) - 14, step))


@pytest.mark.parametrize("seed", range(20))
def test_fine_windows_are_exact(seed: int) -> None:
    power = house(60 * 24, seed)
    demand = demand_of(grid_of(series(power)), True)
    assert demand is not None and demand.sliding.high is not None
    assert demand.block.low == pytest.approx(brute(power, 15))
    assert demand.sliding.low == pytest.approx(brute(power, 1))
    sixteen = max(sum(power[at : at + 16]) for at in range(len(power) - 15)) / 15
    assert demand.sliding.high == pytest.approx(sixteen)  # hand: a window at any second touches 16 minutes
    tops = [max(sum(power[at : at + 15]) / 15 for at in range(phase, len(power) - 14, 15)) for phase in range(15)]
    assert [phase.peak for phase in demand.phases] == pytest.approx(tops)


@pytest.mark.parametrize("minutes", [2, 3, 4, 5, 7, 10, 12, 15, 20, 30, 45, 60, 120])
@pytest.mark.parametrize("seed", range(8))
def test_coarse_bounds_hold_the_truth(minutes: int, seed: int) -> None:
    """Readings of any length made from a house known by the minute: its true peaks lie inside the bounds told."""
    power = house(60 * 24 * 2 // minutes * minutes, seed)
    means = np.array(power).reshape(-1, minutes).mean(axis=1).tolist()
    demand = demand_of(grid_of(series(means, minutes * 60)), True)
    assert demand is not None and demand.block.high is not None and demand.sliding.high is not None
    assert demand.block.low <= brute(power, 15) + 1e-6
    assert brute(power, 15) <= demand.block.high + 1e-6 or 15 % minutes == 0
    assert demand.sliding.low <= brute(power, 1) + 1e-6 <= demand.sliding.high + 2e-6
    if 15 % minutes == 0:
        assert demand.block.low == pytest.approx(brute(power, 15)) == demand.block.high


def test_an_hour_and_two_hours() -> None:
    """Hand: hours of 2, 3, 1 kWh: a block holds at most 3 kWh in 15 minutes, 12 kW; a straddling one 5 kWh, 20 kW."""
    demand = demand_of(grid_of(series([2_000, 3_000, 1_000], 3_600)), True)
    assert demand is not None
    assert (demand.block.low, demand.block.high) == (3_000, 12_000)
    assert (demand.sliding.low, demand.sliding.high) == (3_000, 20_000)


def test_two_quarter_hours_bound_a_sliding_window() -> None:
    """Hand: 4 and 6 kW side by side: a window across both holds at most 1 + 1.5 kWh, 10 kW."""
    demand = demand_of(grid_of(series([1_000, 4_000, 6_000, 2_000], 900)), True)
    assert demand is not None
    assert (demand.block.low, demand.block.high) == (6_000, 6_000)
    assert (demand.sliding.low, demand.sliding.high) == (6_000, 10_000)


def test_nothing_straddles_a_gap() -> None:
    power = [5_000.0] * 20 + [5_000.0] * 20
    start = [T0 + 60 * at for at in range(20)] + [T0 + 60 * (25 + at) for at in range(20)]
    demand = demand_of(grid_of(series(power, start=start)), True)
    assert demand is not None
    assert (demand.windows, demand.incomplete) == (2, 1)  # hand: 0 to 15, 30 to 45; 15 to 30 lacks five minutes
    assert demand.incomplete_low == pytest.approx(5_000 * 10 / 15)
    far = [T0 + 60 * at for at in range(10)] + [T0 + 900 * 400 + 60 * at for at in range(10)]
    assert demand_of(grid_of(series([1.0] * 20, start=far)), True) is None


def test_seconds_are_shared_out_over_minutes() -> None:
    dice = random.Random(3)
    seconds = [dice.choice([100.0, 3_000.0]) for _ in range(3600)]
    fine = grid_of(series(seconds, 1))
    minutes = np.array(seconds).reshape(-1, 60).mean(axis=1)
    assert fine.mean[~fine.missing].tolist() == pytest.approx(minutes.tolist())
    tens = grid_of(series(seconds[:360], 10))
    assert tens.mean[~tens.missing].tolist() == pytest.approx(
        np.array(seconds[:360]).reshape(-1, 6).mean(axis=1).tolist()
    )


def test_without_doubtful_readings() -> None:
    power = [1_000.0] * 15 + [9_000.0] * 15 + [2_000.0] * 15
    doubtful = np.arange(45) == 20
    marked = series(power).marked(doubtful, Mark.ESTIMATED)
    made = reduce(marked, examine(marked)[1], FROM)
    assert made.demand is not None and made.undoubted is not None
    assert made.demand.block.low == 9_000 and "estimated" in made.demand.block.marks
    assert made.undoubted.block.low == 2_000 and made.undoubted.block.marks == ("valid",)


@pytest.mark.parametrize("sampled", [False, True])
def test_samples_and_readings_below_zero_have_no_upper_bound(sampled: bool) -> None:
    power = [1_000.0] * 30
    power[4] = 1_000.0 if sampled else -500.0
    made = reduce(*examine(replace(series(power), sampled=sampled)), FROM)
    assert made.demand is not None
    assert made.demand.block.high is None and made.demand.sliding.high is None and not made.exact


def test_the_duration_curve_counts_ranks() -> None:
    curve = dict(duration_curve(np.arange(1.0, 101.0)))
    assert (curve[0.0], curve[0.01], curve[0.5], curve[1.0]) == (100.0, 99.0, 50.0, 1.0)  # hand: ranks from the top


@pytest.mark.parametrize("seed", range(12))
def test_stamps_that_jitter_are_bounded(seed: int) -> None:
    """A house known by the second, told in readings of about a minute that begin when they like."""
    dice = random.Random(seed)
    power = [watts for watts in house(60 * 6, seed) for _ in range(60)]
    edges = [0]
    while edges[-1] < len(power) - 120:
        edges.append(edges[-1] + dice.randint(45, 60))
    start = [T0 + edge for edge in edges[:-1]]
    mean = [float(np.mean(power[low:high])) for low, high in zip(edges, edges[1:], strict=False)]
    told = replace(series(mean, start=start), length_s=np.diff(np.array(edges)))
    grid = grid_of(told)
    demand = demand_of(grid, True)
    assert not grid.even and demand is not None and demand.block.high is not None and demand.sliding.high is not None
    last = edges[-1] // 60 * 60
    sums = np.concatenate(([0.0], np.cumsum(power[:last])))
    means = (sums[900:] - sums[:-900]) / 900
    assert float(means[::900].max()) <= demand.block.high + 1e-6
    assert float(means.max()) <= demand.sliding.high + 1e-6
    long = replace(told, length_s=np.where(np.arange(len(start)) == 3, 300, told.length_s))
    unbounded = demand_of(grid_of(long), True)
    assert unbounded is not None and unbounded.block.high is None and unbounded.sliding.high is None


def test_a_few_readings_of_an_odd_step() -> None:
    """Hand: 13 readings of 70 s, 910 s: a window inside them holds at most all their energy, at least 12 of them; nine
    readings hold no window, but one of them is told as a least demand; with one missing as well."""
    whole = demand_of(grid_of(series([1_000.0] * 13, 70)), True)
    assert whole is not None and whole.sliding.high is not None
    assert whole.sliding.low == pytest.approx(1_000 * 12 * 70 / 900)
    assert whole.sliding.high == pytest.approx(1_000 * 13 * 70 / 900)
    few = demand_of(grid_of(series([1_000.0] * 9, 70)), True)
    assert few is not None and few.sliding.low == pytest.approx(1_000 * 70 / 900) and few.sliding.marks
    start = [T0 + 70 * at for at in range(16) if at != 8]
    broken = demand_of(grid_of(series([1_000.0] * 15, 70, start=start)), True)
    assert broken is not None and broken.sliding.marks == ("valid",)
