"""Files as they really come: both halves of the earth, decimal commas, registers that roll over, every unit."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import pairwise

import numpy as np
import pytest

from deadfront.recordings.guess import guess_mapping
from deadfront.recordings.mapping import Column
from deadfront.recordings.marks import Mark
from deadfront.recordings.quality import examine
from deadfront.recordings.series import series_of, total
from tests.recordings.making import PLAIN, local_rows, minute_stamps, only, opened, table

# Place, the week around the change, whether the clock falls back in it.
CHANGES = [
    ("America/New_York", "2025-11-01", "2025-11-04", True), ("America/New_York", "2025-03-08", "2025-03-11", False),
    ("Europe/Berlin", "2025-10-25", "2025-10-28", True), ("Europe/Berlin", "2025-03-29", "2025-04-01", False),
    ("Australia/Sydney", "2025-04-05", "2025-04-08", True), ("Australia/Sydney", "2025-10-04", "2025-10-07", False),
    ("America/Santiago", "2025-04-05", "2025-04-08", True), ("America/Santiago", "2025-09-06", "2025-09-09", False),
]  # fmt: skip
WRITTEN = {"month first": ("%m/%d/%Y %H:%M", ".", ","), "day first": ("%d.%m.%Y %H:%M", ",", ";"),
           "day first, slashes": ("%d/%m/%Y %H:%M", ",", ";"), "iso": ("%Y-%m-%d %H:%M", ".", ",")}  # fmt: skip


@pytest.mark.parametrize("written", WRITTEN)
@pytest.mark.parametrize(("zone", "first", "last", "falls"), CHANGES)
def test_a_week_with_a_clock_change(zone: str, first: str, last: str, falls: bool, written: str) -> None:
    """Independent: true instants from the standard library; in spring and in fall, north and south of the equator."""
    form, decimal, separator = WRITTEN[written]
    rows = local_rows(zone, first, last, 15, form)
    assert len(rows) == 3 * 96 + (4 if falls else -4)
    figures = [f"{0.2 + number % 37 / 100:.2f}".replace(".", decimal) for number in range(len(rows))]
    data = table(
        ((stamp, figure) for (stamp, _), figure in zip(rows, figures, strict=True)), ("Time", "kWh"), separator
    )
    guess = guess_mapping(data, zone=zone)
    mapping = guess.mapping
    if not mapping.date_order:  # it stays open only where every day and month of the span could be swapped
        mapping = replace(mapping, date_order="mdy" if written == "month first" else "dmy")
    series = only(data, mapping)
    assert series.start_s.tolist() == [at for _, at in rows]
    assert series.mean.tolist() == pytest.approx([4000 * float(each.replace(decimal, ".")) for each in figures])
    assert not (series.marks & int(Mark.DST_AMBIGUOUS)).any()
    assert examine(series)[1].gaps.count == 0


UNITS = [
    ("kWh", "energy", 0.25, 1000.0, "W"), ("Wh", "energy", 250, 1000.0, "W"), ("MWh", "energy", 0.001, 4000.0, "W"),
    ("W", "mean", 1500, 1500.0, "W"), ("kW", "mean", 1.5, 1500.0, "W"), ("A", "mean", 12.5, 12.5, "A"),
    ("VA", "mean", 800, 800.0, "VA"), ("kVA", "mean", 0.8, 800.0, "VA"), ("kVAh", "energy", 0.2, 800.0, "VA"),
]  # fmt: skip


@pytest.mark.parametrize(("unit", "kind", "figure", "mean", "base"), UNITS)
def test_every_unit_of_demand(unit: str, kind: str, figure: float, mean: float, base: str) -> None:
    """Hand: what a quarter hour of that figure is as a mean."""
    stamps = minute_stamps(30, 15)
    data = table(((stamp, figure) for stamp in stamps), ("time", f"usage ({unit})"))
    guess = guess_mapping(data, zone="UTC")
    value = guess.mapping.with_use("value")[0]
    assert (value.unit, value.kind) == (unit, kind)
    series = only(data, guess.mapping)
    assert series.unit == base and set(np.round(series.mean, 9).tolist()) == {mean}


@pytest.mark.parametrize(("digits", "decimals"), [(5, 0), (5, 1), (6, 3)])
def test_a_register_that_rolls_over(digits: int, decimals: int) -> None:
    """Hand: a register of so many figures returns to zero; that one interval is left out and the next one is marked,
    since a fall may as well be a new meter; every other difference is kept."""
    top, step = 10**digits, 10**-decimals * 25
    faces = [(top - 10 * step + number * step) % top for number in range(30)]
    data = table(((stamp, f"{face:.{decimals}f}") for stamp, face in zip(minute_stamps(30, 15), faces, strict=True)),
                 ("time", "kWh"))  # fmt: skip
    mapping = replace(PLAIN, columns=(Column("time", "start"), Column("kWh", "value", "kWh", "register")))
    series = only(data, mapping)
    falls = [number for number, (one, other) in enumerate(pairwise(faces)) if other < one]
    assert len(falls) == 1 and series.counts.resets == 1 and len(series.mean) == 28
    assert series.mean.tolist() == pytest.approx([step * 4000] * 28)
    marked = np.flatnonzero(series.marks & int(Mark.RESET))
    assert marked.tolist() == [falls[0]]
    assert int(series.start_s[falls[0]] - series.start_s[falls[0] - 1]) == 1800  # nothing filled in


def test_a_meter_with_many_registers_side_by_side() -> None:
    """Two legs in kW, their volts and amperes, 20 circuits in W: each with its own unit and leg."""
    names = (
        "Zeit",
        "L1 (kW)",
        "L2 (kW)",
        "V L1",
        "V L2",
        "L1 A",
        "L2 A",
        *(f"Kreis {number} W" for number in range(20)),
    )
    rows = [(f"{14 + at // 24:02}.07.2025 {at % 24:02}:00", "1,25", "2,5", "121,5", "119,5", "10,5", "20,5",
             *(f"{100 + number},5" for number in range(20))) for at in range(48)]  # fmt: skip
    data = table(rows, names, ";")
    guess = guess_mapping(data, zone="Europe/Berlin")
    assert guess.mapping.decimal == "," and guess.mapping.date_order == "dmy"
    recording = opened(data, guess.mapping)
    told = {each.name: (each.unit, each.leg) for each in recording.channels}
    assert len(told) == 26
    assert told["L1 (kW)"] == ("kW", "L1") and told["V L2"] == ("V", "L2") and told["L2 A"] == ("A", "L2")
    both = total(series_of(recording, "L1 (kW)"), series_of(recording, "L2 (kW)"))
    assert both.leg == "both" and set(both.mean.tolist()) == {3750.0}
    assert set(series_of(recording, "Kreis 7 W").mean.tolist()) == {107.5}


def test_commas_for_decimals_points_for_thousands() -> None:
    stamps = [datetime(2025, 1, 13, at).strftime("%d.%m.%Y %H:%M") for at in range(24)]
    data = table(((stamp, f"1.{100 + at},5") for at, stamp in enumerate(stamps)), ("Zeit", "Leistung W"), ";")
    guess = guess_mapping(data, zone="Europe/Berlin")
    assert (guess.mapping.decimal, guess.mapping.thousands) == (",", ".")
    assert only(data, guess.mapping).mean.tolist() == [1100.5 + at for at in range(24)]
