"""Published cases of demand, load factor, demand factor and diversity, each read as a recording and reduced.

A case that prints only figures is told as a recording that has just these: quarter hours with the printed peak, the
printed energy, and for several customers the printed peak of their sum. What our reduction and its figures make of the
file must be what the publisher prints, within the printed digits. Source of every expected number: the case itself
(`circuits_and_sources.json`), its `result` as printed; where the print is wrong, `published_error` says how and
`recomputed` has the right figure.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.documents.rows import worksheet_rows
from deadfront.job.things import Recording
from deadfront.loads.rules.measured_figures import figures_of
from deadfront.msg import said
from deadfront.recordings.mapping import Column
from deadfront.recordings.mapping import Mapping as Columns
from deadfront.recordings.read import read
from deadfront.recordings.reduce import reduce_channel, reduce_sum
from deadfront.results.recordings import Reduction
from deadfront.worksheet import build
from deadfront.worksheet.step import Step
from tests.loads.test_measured import YEAR, measured

FILE = Path(__file__).parent / "circuits_and_sources.json"
CASES: dict[str, dict[str, Any]] = {
    case["id"]: case for case in json.loads(FILE.read_text(encoding="utf-8")) if case["id"].startswith("DEM-")
}
QUARTER_H = 0.25


def test_every_demand_case_of_the_file_is_run() -> None:
    assert set(CASES) == {"DEM-01", "DEM-03", "DEM-04", "DEM-05", "DEM-06", "DEM-07", "DEM-11"}
    assert {ident for ident, case in CASES.items() if case["published_error"]} == {"DEM-07"}
    assert {ident for ident, case in CASES.items() if case["kind"] == "constructed"} == {"DEM-11"}


def file_of(columns: Mapping[str, Sequence[float]], minutes: int) -> BytesIO:
    """A recording as CSV: a row for each interval from midnight, a column of kW for each channel."""
    rows = [",".join(("time", *columns))]
    for number, row in enumerate(zip(*columns.values(), strict=True)):
        day, minute = divmod(number * minutes, 1440)
        cells = ",".join(repr(value) for value in row)
        rows.append(f"2025-{1 + day // 28:02}-{1 + day % 28:02} {minute // 60:02}:{minute % 60:02},{cells}")
    return BytesIO(("\n".join(rows) + "\n").encode())


def reduced(columns: Mapping[str, Sequence[float]], minutes: int = 15) -> Reduction:
    """The recording read and reduced; several channels are added up."""
    values = tuple(Column(name, "value", "kW", "mean") for name in columns)
    mapping = Columns((Column("time", "start"), *values), zone="UTC", stamp_form="written", date_order="ymd")
    found = read(file_of(columns, minutes), mapping)
    names = [channel.name for channel in found.channels]
    return reduce_channel(found, names[0]) if len(names) == 1 else reduce_sum(found, names)


def figures(reduction: Reduction) -> dict[str, Step]:
    """The figures beside the demand, by the last part of their id."""
    recording: Recording = YEAR
    context = measured(recording, by={recording.id: reduction})
    return {step.id.rpartition("/")[2]: step for step in figures_of(context, recording, reduction)}


def with_energy(peak_kw: float, energy_kwh: float, quarters: int) -> list[float]:
    """Quarter hours with this peak once and this energy: all others alike."""
    rest = (energy_kwh / QUARTER_H - peak_kw) / (quarters - 1)
    assert 0 <= rest <= peak_kw, "a recording with these figures exists"
    return [rest] * (quarters - 1) + [peak_kw]


def agrees(step: Step, printed: float, tolerance: str) -> None:
    """Within the tolerance of the case; its own printed digits for "exact"."""
    share = Decimal(tolerance.removesuffix("%").strip()) / 100 if tolerance != "exact" else Decimal("1e-6")
    assert step.value.exact
    assert abs(step.value.low - Decimal(str(printed))) <= share * Decimal(str(printed)), (step.value, printed)


@pytest.mark.parametrize("ident", ["DEM-01", "DEM-03"])
def test_load_factor_of_energy_and_peak(ident: str) -> None:
    case = CASES[ident]
    given = case["inputs"]
    found = figures(reduced({"main": with_energy(given["kW"], given["kWh"], given["h"] * 4)}))
    agrees(found["load_factor"], case["result"]["LF_pct"] / 100, case["tolerance"])
    agrees(found["load_factor"], case["recomputed"]["LF_pct"] / 100, "0.01 %")


def together(
    peaks: Sequence[float], sum_peak: float, energies: Sequence[float] | None = None
) -> dict[str, list[float]]:
    """Customers whose own peaks come at different times of one day, and whose sum peaks at `sum_peak`.

    Each has its peak alone in a quarter hour of its own, the others at their rest; in one more quarter hour all stand
    in the same proportion to their peaks.
    """
    quarters, shared = 96, sum_peak / sum(peaks)
    energies = energies or [0.0] * len(peaks)
    columns = {}
    for number, (peak, energy) in enumerate(zip(peaks, energies, strict=True)):
        rest = max((energy / QUARTER_H - peak - peak * shared) / (quarters - 2), 0.0)
        column = [rest] * quarters
        column[10 + number], column[70] = peak, peak * shared
        columns[f"customer {number + 1}"] = column
    sums = [sum(column[at] for column in columns.values()) for at in range(quarters)]
    assert max(sums) == sums[70], "the largest sum is the planted one"
    return columns


def test_four_houses_on_one_transformer() -> None:
    """Peaks apart 24.98 kW, together 16.16: diversity 1.5458. The load factors are printed to two digits."""
    case = CASES["DEM-05"]
    given, printed, right = case["inputs"], case["result"], case["recomputed"]
    columns = together(given["max_kW"], given["max_diversified_kW"], given["energy_kWh"])
    reduction = reduced(columns)
    assert reduction.demand is not None
    assert round(reduction.demand.block.low / 1000, 2) == printed["max_diversified_kW"]
    found = figures(reduction)
    agrees(found["diversity"].args[0], printed["noncoincident_kW"] * 1000, "0.01 %")
    agrees(found["diversity"], printed["diversity_factor"], case["tolerance"])
    agrees(found["coincidence"], right["coincidence"], case["tolerance"])
    factors = [figures(reduced({"house": column}))["load_factor"] for column in columns.values()]
    for step, two_digits, three_digits in zip(factors, printed["load_factors"], right["load_factors"], strict=True):
        three = round(step.value.low, 3)
        assert three == Decimal(str(three_digits))
        # The print rounds these once more: 0.3949 to 0.395 to 0.40.
        assert three.quantize(Decimal("0.01"), ROUND_HALF_UP) == Decimal(str(two_digits)), (three, two_digits)


def test_four_feeders_and_a_diversity_of_one_and_a_half() -> None:
    """Connected kVA times its demand factor is each feeder's own peak; their sum 837.5, together 558.33 kVA."""
    case = CASES["DEM-04"]
    given, printed = case["inputs"], case["result"]
    peaks = [kva * factor for kva, factor in zip(given["kVA"], given["demand"], strict=True)]
    reduction = reduced(together(peaks, case["recomputed"]["diversified_kVA"]))
    found = figures(reduction)
    agrees(found["diversity"].args[0], printed["sum_kVA"] * 1000, "0.001 %")
    agrees(found["diversity"], given["diversity"], case["tolerance"])
    agrees(found["coincidence"].args[0], printed["diversified_kVA"] * 1000, case["tolerance"])
    for (_, top), kva, factor in zip(reduction.parts, given["kVA"], given["demand"], strict=True):
        agrees(demand_factor(top, kva * 1000), factor, "0.001 %")


def demand_factor(largest: float, connected: float) -> Step:
    """The demand factor as a Step: the largest demand, divided by what is connected."""
    most = build.fact("most", said("measured.peak"), Decimal(repr(largest)), "W", "")
    whole = build.fact("connected", said("thing.named", name="connected"), Decimal(repr(connected)), "W", "")
    return build.quotient("factor", said("thing.named", name="demand factor"), most, whole, unit="")


def test_daily_curves_of_three_classes() -> None:
    """Hourly figures, each held for its four quarter hours. The print has only the curves; its answers are computed."""
    case = CASES["DEM-06"]
    given, right = case["inputs"], case["recomputed"]
    columns = {key: [float(v) for v in given[key] for _ in range(4)] for key in ("res_kW", "com_kW", "light_kW")}
    reduction = reduced(columns)
    assert reduction.demand is not None
    assert reduction.demand.block.low == reduction.demand.block.high == right["max_coincident_kW"] * 1000
    found = figures(reduction)
    agrees(found["diversity"].args[0], right["noncoincident_kW"] * 1000, "exact")
    agrees(found["diversity"], right["diversity"], "0.001 %")
    agrees(found["coincidence"], right["coincidence"], "exact")
    agrees(found["load_factor"], right["load_factor"], "0.001 %")
    agrees(demand_factor(reduction.demand.block.low, given["connected_kW"] * 1000), right["demand_factor"], "exact")
    agrees(demand_factor(reduction.demand.block.low, given["feeder_kW"] * 1000), right["utilisation"], "exact")


def test_a_demand_factor_printed_upside_down() -> None:
    """Printed as 6000/3300 with 300 W for 3300 W, and yet 55 %: a demand never passes what is connected."""
    case = CASES["DEM-07"]
    given = case["inputs"]
    peak = reduced({"main": with_energy(given["max_W"] / 1000, 24.0, 96)}).demand
    assert peak is not None
    factor = demand_factor(peak.block.low, given["connected_W"])
    agrees(factor, case["result"]["demand_factor_pct"] / 100, case["tolerance"])
    upside_down = Decimal(given["connected_W"]) / Decimal(given["max_W"])
    assert factor.value.high is not None and factor.value.high < 1 < upside_down
    misread = demand_factor(300.0, given["connected_W"])
    assert misread.value.low == Decimal("0.05"), "the print's 300 W would be 5 %, not 55 %"
    (line,) = [row.formula for row in worksheet_rows(factor, Catalog("en")) if "÷" in row.formula or "/" in row.formula]
    assert line.index("3,300") < line.index("6,000")


def test_block_and_sliding_quarter_hour_of_five_minutes() -> None:
    """Blocks 8, 10.667, 4 kW; the largest three in a row 16, 16, 12: 14.667 kW (constructed, no print)."""
    case = CASES["DEM-11"]
    reduction = reduced({"main": [float(kw) for kw in case["inputs"]["kW_5min"]]}, minutes=5)
    demand, right = reduction.demand, case["recomputed"]
    assert demand is not None
    assert round(demand.block.low / 1000, 4) == right["block_max_kW"] == round((demand.block.high or 0) / 1000, 4)
    assert round(demand.sliding.low / 1000, 4) == right["rolling_max_kW"]
    # A window at any second touches four readings at most: 16 + 16 + 12 + 4 over three, hand: 16 kW.
    assert demand.sliding.high == 16000
    assert [round(phase.peak / 1000, 4) for phase in demand.phases] == [10.6667, 12.0, 14.6667]


def test_a_coarse_or_feeding_recording_has_no_diversity() -> None:
    """Hourly data bound a quarter hour only, so that parts and their sum cannot be held against each other."""
    hourly = reduced({"a": [1.0, 2.0, 3.0], "b": [3.0, 2.0, 1.0]}, minutes=60)
    assert hourly.parts == () and "diversity" not in figures(hourly)
    feeding = reduced({"a": [1.0, -2.0, 3.0]})
    assert feeding.mean is None and figures(feeding) == {}
    nothing = replace(reduced({"a": [1.0, 2.0]}), demand=None)
    assert figures(nothing) == {}
