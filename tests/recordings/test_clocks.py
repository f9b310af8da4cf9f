"""Clock changes in the USA, Europe and south of the equator; both date orders; what stays in doubt is marked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from deadfront.recordings.marks import Mark
from deadfront.recordings.stamps import read_clock, read_date, read_stamp
from deadfront.recordings.trouble import RecordingUnreadable
from deadfront.recordings.zone import OffsetTable, table_of_rules, table_of_zone
from tests.recordings.making import PLAIN, local_rows, only, table

# Where, a week with the hour that comes twice, a week with the hour that is leapt over.
PLACES = [
    ("America/Denver", ("2025-11-01", "2025-11-04"), ("2025-03-08", "2025-03-11")),
    ("Europe/Paris", ("2025-10-25", "2025-10-28"), ("2025-03-29", "2025-04-01")),
    ("Australia/Sydney", ("2025-04-05", "2025-04-08"), ("2025-10-04", "2025-10-07")),
    ("Australia/Lord_Howe", ("2025-04-05", "2025-04-08"), ("2025-10-04", "2025-10-07")),  # half an hour
    ("America/Phoenix", ("2025-11-01", "2025-11-04"), ("2025-03-08", "2025-03-11")),  # never
]


@pytest.mark.parametrize("minutes", [1, 15, 30, 60])
@pytest.mark.parametrize(("zone", "fall", "spring"), PLACES)
def test_every_instant_is_found_again(zone: str, fall: tuple[str, str], spring: tuple[str, str], minutes: int) -> None:
    if zone == "Australia/Lord_Howe" and minutes == 60:
        minutes = 10  # a half-hour change leaves an hourly clock out of step with itself
    for span in (fall, spring):
        rows = local_rows(zone, *span, minutes)
        series = only(table((stamp, 1) for stamp, _ in rows), replace(PLAIN, zone=zone))
        assert series.start_s.tolist() == [at for _, at in rows]
        assert not (series.marks & int(Mark.DST_AMBIGUOUS)).any()
        newest_first = only(table((stamp, 1) for stamp, _ in rows[::-1]), replace(PLAIN, zone=zone))
        assert newest_first.start_s.tolist() == series.start_s.tolist()


@pytest.mark.parametrize(("zone", "fall", "spring"), PLACES[:3])
def test_an_hour_that_stands_once_stays_in_doubt(zone: str, fall: tuple[str, str], spring: tuple[str, str]) -> None:
    rows = local_rows(zone, *fall, 15)
    seen: set[str] = set()
    once = [(stamp, at) for stamp, at in rows if not (stamp in seen or seen.add(stamp))]  # type: ignore[func-returns-value]
    series = only(table((stamp, 1) for stamp, _ in once), replace(PLAIN, zone=zone))
    assert int(((series.marks & int(Mark.DST_AMBIGUOUS)) != 0).sum()) == 4
    assert series.counts.doubtful_hours == 4
    said = only(table((stamp, 1) for stamp, _ in once), replace(PLAIN, zone=zone, clock="second"))
    assert not (said.marks & int(Mark.DST_AMBIGUOUS)).any()
    assert int(said.start_s[-1]) == int(series.start_s[-1])
    moved = np.flatnonzero(said.start_s != series.start_s)
    assert len(moved) == 4 and set((said.start_s - series.start_s)[moved].tolist()) == {3600}


def test_an_hour_that_never_was_is_marked() -> None:
    rows = [("2025-03-09 01:45", 1), ("2025-03-09 02:00", 1), ("2025-03-09 02:30", 1), ("2025-03-09 03:15", 1)]
    series = only(table(rows), replace(PLAIN, zone="America/Denver"))
    assert int(((series.marks & int(Mark.DST_AMBIGUOUS)) != 0).sum()) == 2


def test_a_clock_that_never_changes() -> None:
    stamps = [f"2025-07-01 {hour:02}:00" for hour in range(5)]
    series = only(table((each, 1) for each in stamps), replace(PLAIN, zone="America/Denver", clock="standard"))
    assert int(series.start_s[0]) == 1_751_353_200  # hand: 2025-07-01 07:00 UTC, seven hours behind


def test_offsets_as_written() -> None:
    rows = [("2025-11-02T01:30:00-06:00", 1), ("2025-11-02T01:30:00-07:00", 2)]
    series = only(table(rows), replace(PLAIN, zone="America/Denver", offsets="written"))
    assert np.diff(series.start_s).tolist() == [3600]


def test_the_coded_rules_of_the_usa_are_the_places_own() -> None:
    """Independent: the rules that feeds carry, against the zone database, from 2007 on."""
    coded = table_of_rules(-25_200, 3_600, 0x360E2000, 0xB40E2000)
    place = table_of_zone("America/Denver")
    times = np.arange(1_180_000_000, 2_000_000_000, 86_400 // 4, dtype=np.int64)
    assert np.array_equal(coded.to_local(times), place.to_local(times))


def test_coded_rules_south_of_the_equator() -> None:
    """Hand: first Sunday of October 02:00 to first Sunday of April 03:00, the rule of Sydney."""
    coded = table_of_rules(36_000, 3_600, 0xA40E2000, 0x440E3000)
    place = table_of_zone("Australia/Sydney")
    times = np.arange(1_230_000_000, 2_000_000_000, 86_400 // 4, dtype=np.int64)
    assert np.array_equal(coded.to_local(times), place.to_local(times))


def test_no_rule_is_no_change() -> None:
    assert table_of_rules(-18_000, 0, 0, 0) == OffsetTable((), (-18_000,))


@pytest.mark.parametrize("name", ["Mars/Base", "../etc/passwd", "", "America"])
def test_an_unknown_place_is_refused(name: str) -> None:
    with pytest.raises(RecordingUnreadable):
        table_of_zone(name)


@pytest.mark.parametrize(
    ("text", "order", "iso"),
    [
        ("03/04/2025", "mdy", "2025-03-04"),
        ("03/04/2025", "dmy", "2025-04-03"),
        ("3.4.25", "dmy", "2025-04-03"),
        ("2025-04-03", "mdy", "2025-04-03"),
        ("20250403", "mdy", "2025-04-03"),
        ("14-Mar-2025", "mdy", "2025-03-14"),
        ("Mar 14, 2025", "dmy", "2025-03-14"),
        ("14 ene 2025", "dmy", "2025-01-14"),
    ],
)
def test_dates(text: str, order: str, iso: str) -> None:
    from datetime import date

    assert read_date(text, order) == date.fromisoformat(iso).toordinal() - date(1970, 1, 1).toordinal()


@pytest.mark.parametrize("text", ["31/02/2025", "2025-13-01", "00/00/0000", "1/1/1889", "x", "", "١/٢/٢٠٢٥x"])
def test_no_dates(text: str) -> None:
    assert read_date(text, "dmy") is None


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("0:00", 0), ("12:00 AM", 0), ("12:15 pm", 44_100), ("1:15 p.m.", 47_700), ("24:00", 86_400), ("23:59:59", 86_399),
     ("07:30:00.000", 27_000)],
)  # fmt: skip
def test_clock_times(text: str, seconds: int) -> None:
    clock = read_clock(text)
    assert clock is not None and clock.seconds == seconds


@pytest.mark.parametrize("text", ["24:01", "13:00 PM", "7", "7:61", "", "0:00 XYZ", "a:b"])
def test_no_clock_times(text: str) -> None:
    assert read_clock(text) is None


def test_letters_of_a_zone_settle_the_hour_that_comes_twice() -> None:
    first, second = read_stamp("11/02/2025 1:30 AM MDT", "mdy"), read_stamp("11/02/2025 1:30 AM MST", "mdy")
    assert first is not None and second is not None
    assert (first[1], second[1]) == (-21_600, -25_200)
