"""A day in each row, its intervals side by side: headings of every kind, and the two days when the clock changes."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date, timedelta

import pytest

from deadfront.recordings.guess import Guess, guess_mapping, guess_parquet
from deadfront.recordings.mapping import Column, Mapping, mapping_from_json
from deadfront.recordings.marks import Mark
from deadfront.recordings.read import read
from deadfront.recordings.recording import Recording
from deadfront.recordings.reduce import reduce_channel
from deadfront.recordings.series import series_of
from deadfront.recordings.trouble import MappingUnclear, RecordingUnreadable
from tests.recordings.making import local_rows, only, opened, table

DENVER = "America/Denver"


def stamp(minutes: int) -> str:
    """A time of day."""
    return f"{minutes // 60}:{minutes % 60:02}"


def twelve(minutes: int) -> str:
    """The same with AM and PM."""
    hour = minutes // 60
    return f"{hour % 12 or 12}:{minutes % 60:02} {'PM' if hour % 24 >= 12 else 'AM'}"


HEADINGS = {
    "begins": lambda number, minutes: stamp(number * minutes),
    "ends": lambda number, minutes: stamp((number + 1) * minutes),
    "ends at midnight as 0:00": lambda number, minutes: stamp((number + 1) * minutes % 1440),
    "am pm": lambda number, minutes: twelve(number * minutes),
    "spans": lambda number, minutes: f"{stamp(number * minutes)} - {stamp((number + 1) * minutes)}",
    "four figures": lambda number, minutes: f"KWH_{(number + 1) * minutes // 60:02}{(number + 1) * minutes % 60:02}",
    "counted": lambda number, minutes: f"Interval {number + 1}",
    "counted from 0": lambda number, minutes: f"H{number}",
    "bare numbers": lambda number, minutes: str(number + 1),
    "with unit": lambda number, minutes: f"{stamp(number * minutes)} (kWh)",
}


def wide(days: list[tuple[str, list[object]]], heading: str, minutes: int, separator: str = ",") -> bytes:
    """A table with these days in its rows."""
    names = [HEADINGS[heading](number, minutes) for number in range(1440 // minutes)]
    return table(((day, *cells) for day, cells in days), ("Usage kWh date", *names), separator)


def mapped(guess: Guess, zone: str = DENVER) -> Mapping:
    """The guess with what it must ask answered."""
    columns = tuple(replace(each, unit="kWh", kind="energy") if each.use == "value" else each
                    for each in guess.mapping.columns)  # fmt: skip
    return replace(guess.mapping, columns=columns, zone=zone)


@pytest.mark.parametrize("minutes", [15, 30, 60])
@pytest.mark.parametrize("heading", HEADINGS)
def test_every_heading_is_the_same_day(heading: str, minutes: int) -> None:
    """Hand: interval number n of a day begins n intervals after midnight, whatever its heading calls it."""
    count = 1440 // minutes
    days = [(f"2025-01-{day:02}", [f"{day + at / 100:.2f}" for at in range(count)]) for day in range(1, 8)]
    data = wide(days, heading, minutes)
    guess = guess_mapping(data, zone="UTC")
    assert guess.mapping.across_s == minutes * 60
    assert mapping_from_json(guess.mapping.to_json()) == guess.mapping
    series = only(data, mapped(guess, "UTC"))
    first = 1_735_689_600  # 2025-01-01 00:00 UTC
    assert series.start_s.tolist() == [first + 60 * minutes * at for at in range(7 * count)]
    assert series.unbroken and series.step_s == 60 * minutes
    per_hour = 60 / minutes * 1000
    told = [float(cell) * per_hour for _, cells in days for cell in cells]  # type: ignore[arg-type]
    assert series.mean.tolist() == pytest.approx(told)


def test_a_wide_table_and_a_long_one_say_the_same() -> None:
    """Independent: the same year as one row for each interval gives the same figures, but for the hour that comes
    twice, which the wide one lacks."""
    rows = local_rows(DENVER, "2025-01-01", "2026-01-01", 60)
    value = {at: 0.3 + at // 3600 * 7 % 23 / 4 for _, at in rows}
    long = only(table((told, value[at]) for told, at in rows).replace(b"kW", b"kWh"),
                Mapping((Column("time", "start"), Column("kWh", "value", "kWh", "energy")), zone=DENVER))  # fmt: skip
    days: dict[str, list[object]] = {}
    for told, at in rows:
        cells = days.setdefault(told[:10], [""] * 24)
        cells[int(told[11:13])] = cells[int(told[11:13])] or value[at]
    data = wide(list(days.items()), "begins", 60)
    recording = opened(data, mapped(guess_mapping(data, zone=DENVER)))
    series = series_of(recording, recording.channels[0])
    lacking = 1_762_070_400  # 2025-11-02 08:00 UTC = 01:00 standard time, the second pass
    at = long.start_s.tolist().index(lacking)
    assert series.start_s.tolist() == [each for each in long.start_s.tolist() if each != lacking]
    assert series.mean.tolist() == pytest.approx([*long.mean[:at], *long.mean[at + 1 :]])
    doubtful = (series.marks & int(Mark.DST_AMBIGUOUS)) != 0
    assert series.start_s[doubtful].tolist() == [lacking - 3600]
    assert reduce_channel(recording, recording.channels[0]).quality.gaps.count == 1


def day_of(zone: str, on: str) -> list[int]:
    """The true UTC second of every quarter hour of a day."""
    following = (date.fromisoformat(on) + timedelta(days=1)).isoformat()
    return [at for _, at in local_rows(zone, on, following, 15)]


@pytest.mark.parametrize(
    ("zone", "on"), [(DENVER, "2025-03-09"), ("Europe/Paris", "2025-03-30"), ("Australia/Sydney", "2025-10-05")]
)
@pytest.mark.parametrize("place", ["its own", "the end"])
def test_the_day_of_23_hours(zone: str, on: str, place: str) -> None:
    """The four empty quarter hours stand where the clock leaps, or at the end: both give the true instants."""
    leap = 8  # hand: all three leap at 02:00
    cells: list[object] = [0.5 + number for number in range(92)]
    row = [*cells[:leap], "", "", "", "", *cells[leap:]] if place == "its own" else [*cells, "", "", "", ""]
    before, after = ((date.fromisoformat(on) + timedelta(days=by)).isoformat() for by in (-1, 1))
    data = wide([(before, [1] * 96), (on, row), (after, [1] * 96)], "begins", 15)
    series = only(data, mapped(guess_mapping(data, zone=zone), zone))
    assert series.unbroken
    day = day_of(zone, on)
    assert len(day) == 92
    assert series.start_s[96 : 96 + 92].tolist() == day
    assert series.mean[96 : 96 + 92].tolist() == pytest.approx([4000 * float(cell) for cell in cells])  # type: ignore[arg-type]
    assert not (series.marks & int(Mark.DST_AMBIGUOUS)).any()


def test_an_hour_that_never_was_but_is_filled_is_marked() -> None:
    data = wide([("2025-03-08", [1] * 24), ("2025-03-09", [1] * 24), ("2025-03-10", [1] * 24)], "begins", 60)
    series = only(data, mapped(guess_mapping(data, zone=DENVER)))
    marked = series.start_s[(series.marks & int(Mark.DST_AMBIGUOUS)) != 0]
    assert len(series.mean) == 71 and len(marked) == 1
    assert series.counts.same_twice == 1


def with_extra(cells: dict[str, str]) -> bytes:
    """Three days around the fall change with a 25th column."""
    names = ("date", *(f"Hour {number} kWh" for number in range(1, 26)))
    days = ("2025-11-01", "2025-11-02", "2025-11-03")
    return table(((day, *range(1, 25), cells.get(day, "")) for day in days), names)


def test_the_day_of_25_hours() -> None:
    """Hand: with 24 in the row 01:00 stands once, in doubt; with a 25th the row is left out, counted and told."""
    guess = guess_mapping(with_extra({}), zone=DENVER)
    assert guess.mapping.across_s == 3600 and len(guess.mapping.with_use("value")) == 25
    assert not [doubt for doubt in guess.doubts if doubt.must]
    series = only(with_extra({}), guess.mapping)
    assert len(series.mean) == 72 and int(((series.marks & int(Mark.DST_AMBIGUOUS)) != 0).sum()) == 1
    recording = opened(with_extra({"2025-11-02": "7"}), guess.mapping)
    assert recording.unread.rows == 1 and recording.unread.lines == [3]
    assert len(series_of(recording, recording.channels[0]).mean) == 48
    said = only(with_extra({}), replace(guess.mapping, clock="second"))
    assert not (said.marks & int(Mark.DST_AMBIGUOUS)).any()


def test_an_hour_more_on_another_day() -> None:
    """Zero is a filler there; a figure is not, and its row is left out."""
    guess = guess_mapping(with_extra({}), zone=DENVER)
    assert len(only(with_extra({"2025-11-01": "0", "2025-11-03": "0.00"}), guess.mapping).mean) == 72
    recording = opened(with_extra({"2025-11-01": "3"}), guess.mapping)
    assert recording.unread.lines == [2]


def test_meters_quality_and_units_beside() -> None:
    names = ("Meter", "Date", "Unit", "Status", *(f"{hour}:00" for hour in range(24)))
    rows = [(meter, f"1/{day}/2025", "kWh", "Estimated" if day == 14 else "", *([day + at / 10] * 24))
            for day in range(13, 17) for at, meter in enumerate(("garage", "house"))]  # fmt: skip
    data = table(rows, names)
    guess = guess_mapping(data, zone=DENVER)
    assert not [doubt for doubt in guess.doubts if doubt.must]
    assert guess.mapping.date_order == "mdy" and guess.mapping.with_use("value")[0].unit == "kWh"
    recording = opened(data, guess.mapping)
    assert [each.name for each in recording.channels] == ["garage", "house"]
    series = series_of(recording, "house")
    assert series.mean[:25].tolist() == pytest.approx([13_100.0] * 24 + [14_100.0])
    assert (series.marks & int(Mark.ESTIMATED) != 0).tolist() == [False] * 24 + [True] * 24 + [False] * 48


def test_semicolons_decimal_commas_and_bad_cells() -> None:
    days: list[tuple[str, list[object]]] = [(f"{day}.02.2025", [f"{day},5"] * 24) for day in range(12, 20)]
    days[3] = ("15.02.2025", ["x", "", *["1,5"] * 22])
    days[4] = ("16.02.2025 12:00", ["1,5"] * 24)
    data = wide(days, "begins", 60, ";")
    guess = guess_mapping(data, zone="Europe/Paris")
    recording = opened(data, mapped(guess, "Europe/Paris"))
    assert recording.unread.cells == 1 and recording.unread.rows == 1
    series = series_of(recording, recording.channels[0])
    assert series.mean[0] == pytest.approx(12_500) and len(series.mean) == 7 * 24 - 2


def test_the_unit_is_asked_once() -> None:
    data = table([(f"2025-01-{day:02}", *range(24)) for day in range(1, 9)], ("day", *(f"{h}:00" for h in range(24))))
    guess = guess_mapping(data, zone="UTC")
    assert [doubt.field for doubt in guess.doubts if doubt.must] == ["unit"]
    with pytest.raises(MappingUnclear):
        opened(data, guess.mapping)
    columns = list(guess.mapping.columns)
    at = next(number for number, each in enumerate(columns) if each.use == "value")
    columns[at] = replace(columns[at], unit="kW", kind="mean")
    series = only(data, replace(guess.mapping, columns=tuple(columns)))  # the first one's unit and kind hold for all
    assert series.mean[:3].tolist() == [0, 1000, 2000]
    columns[at] = replace(columns[at], unit="kWh", kind="energy")  # with the others still guessed as means
    assert only(data, replace(guess.mapping, columns=tuple(columns))).mean[:3].tolist() == [0, 1000, 2000]
    columns[at + 1] = replace(columns[at + 1], unit="W")
    with pytest.raises(RecordingUnreadable):
        only(data, replace(guess.mapping, columns=tuple(columns)))


@pytest.mark.parametrize(
    "change", [{"across_s": 900}, {"across_s": 7}, {"across_s": -1}, {"offsets": "written"}, {"stamp_form": "epoch_s"}]
)
def test_a_mapping_that_cannot_be_a_day_is_refused(change: dict[str, object]) -> None:
    data = wide([(f"2025-01-{day:02}", [1] * 24) for day in range(1, 9)], "begins", 60)
    mapping = mapped(guess_mapping(data, zone="UTC"), "UTC")
    with pytest.raises(RecordingUnreadable):
        opened(data, replace(mapping, **change))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "names",
    [
        ("day", *(f"{hour}:00" for hour in range(23))),
        ("day", *(f"{hour}:00" for hour in range(1, 24)), "1:30"),
        ("day", *(f"{hour}:00" for hour in range(24, 0, -1))),
        ("day", *(f"{hour * 15 // 60}:{hour * 15 % 60:02}" for hour in range(24))),
    ],
)
def test_times_that_make_no_day_are_refused(names: tuple[str, ...]) -> None:
    data = table([(f"2025-01-{day:02}", *range(len(names) - 1)) for day in range(1, 9)], names)
    with pytest.raises(RecordingUnreadable) as told:
        guess_mapping(data, zone="UTC")
    assert told.value.msg.key == "recordings.guess.hours_across"


def test_circuits_that_are_counted_are_no_hours() -> None:
    """24 circuits side by side, one row for each minute or each day."""
    names = ("time", *(f"circuit {number} W" for number in range(1, 25)))
    for stamps in (
        [f"2025-01-01 00:{minute:02}" for minute in range(30)],
        [f"2025-01-{day:02}" for day in range(1, 31)],
    ):
        data = table([(each, *range(24)) for each in stamps], names)
        guess = guess_mapping(data, zone="UTC")
        assert guess.mapping.across_s == 0 and len(opened(data, guess.mapping).channels) == 24


def test_counted_hours_with_a_clock_in_each_row_are_no_day() -> None:
    names = ("time", *(f"Hour {number} kWh" for number in range(1, 25)))
    data = table([(f"2025-01-01 00:{minute:02}", *range(24)) for minute in range(30)], names)
    assert guess_mapping(data, zone="UTC").mapping.across_s == 0


def test_parquet() -> None:
    import pyarrow as pa
    from pyarrow import parquet

    table_ = pa.table({"date": [date(2025, 1, day) for day in range(1, 9)],
                       **{f"{hour}:00 kWh": [hour + day / 10 for day in range(8)] for hour in range(24)}})  # fmt: skip
    out = io.BytesIO()
    parquet.write_table(table_, out)
    guess = guess_parquet(out, zone="UTC")
    assert guess.mapping.across_s == 3600
    recording: Recording = read(out, guess.mapping)
    assert series_of(recording, recording.channels[0]).mean[24:27].tolist() == pytest.approx([100, 1100, 2100])
