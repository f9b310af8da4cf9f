"""The quick ways say what the general ways say, to the last bit: readers, grids, gaps, repeated days, clocks."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from deadfront.errors import DeadfrontError
from deadfront.recordings.answer import Reduction
from deadfront.recordings.grid import grid_of
from deadfront.recordings.mapping import Column, Mapping
from deadfront.recordings.quality import gaps_of
from deadfront.recordings.read import read_csv
from deadfront.recordings.reduce import reduce_channel
from deadfront.recordings.repeats import repeated_day
from deadfront.recordings.series import Series, series_of
from deadfront.recordings.source import Source
from deadfront.recordings.zone import table_of_zone
from tests.recordings.invented import recording

NUMBERS = range(120)


def arrays(series: Series) -> list[list[Any]]:
    """All readings."""
    return [each.tolist() for each in (series.start_s, series.length_s, series.mean, series.marks)]


def told(number: int, by_lines: bool) -> tuple[str, list[tuple[list[list[Any]], object, int, Reduction]] | str]:
    """How a recording was read, and all its series and figures; or why it was refused."""
    data, mapping = recording(number)
    try:
        found = read_csv(Source(io.BytesIO(data)), mapping.check(), by_lines=by_lines)
        made = []
        for channel in found.channels:
            series = series_of(found, channel)
            made.append((arrays(series), series.counts, found.unread.rows, reduce_channel(found, channel)))
    except DeadfrontError as refused:
        return "refused", refused.msg.key
    return found.reader, made


def test_columns_and_lines_give_the_same_series_and_quality() -> None:
    readers = []
    for number in NUMBERS:
        quick, general = told(number, by_lines=False), told(number, by_lines=True)
        assert quick[1] == general[1], number
        readers.append(quick[0])
    assert readers.count("columns") > 60 and readers.count("lines") > 10  # both were truly tried


def every_series() -> list[Series]:
    """The series of all invented recordings that have one."""
    found = []
    for number in NUMBERS:
        data, mapping = recording(number)
        try:
            read = read_csv(Source(io.BytesIO(data)), mapping.check())
            found.append(series_of(read, read.channels[0]))
        except DeadfrontError:
            continue
    return found


def test_what_is_known_to_be_even_is_found_the_same_without_knowing() -> None:
    """Each series as it is, and without the knowledge that it is even: grids, gaps, repeated days are the same."""
    kinds = []
    for series in every_series():
        plain = replace(series, even=False)
        kinds.append((series.even, series.unbroken))
        for mine, general in zip(gaps_of(series), gaps_of(plain), strict=True):
            assert mine.tolist() == general.tolist()
        assert series.end_s == plain.end_s
        quick, slow = grid_of(series), grid_of(plain)
        for name in ("start_s", "mean", "missing", "marks"):
            assert getattr(quick, name).tolist() == getattr(slow, name).tolist(), name
        assert (quick.cell_s, quick.per_window, quick.even) == (slow.cell_s, slow.per_window, slow.even)
        columns = [series.mean]
        assert np.array_equal(repeated_day(series.start_s, columns, series.step_s, series.even),
                              repeated_day(series.start_s, columns, series.step_s))  # fmt: skip
    assert min(kinds.count(each) for each in ((True, True), (True, False), (False, False))) > 5


def brute_utc(local_s: list[int], zone: str) -> list[int]:
    """Independent: every clock reading by itself from the standard library; in the hour that comes twice the second
    pass from where the clock steps back."""
    from datetime import UTC, datetime
    from zoneinfo import ZoneInfo

    place, found, folded = ZoneInfo(zone), [], False
    before = None
    for each in local_s:
        naive = datetime.fromtimestamp(each, UTC).replace(tzinfo=None)
        first, second = (int(naive.replace(tzinfo=place, fold=fold).timestamp()) for fold in (0, 1))
        twice = second > first
        folded = twice and (folded or (before is not None and each < before))
        found.append(second if folded else first)
        before = each
    return found


@pytest.mark.parametrize("zone", ["America/Denver", "Europe/Paris", "Australia/Sydney", "America/Phoenix"])
def test_clock_readings_of_years_are_those_of_the_standard_library(zone: str) -> None:
    table = table_of_zone(zone)
    true = np.arange(1_735_000_000 // 1800 * 1800, 1_735_000_000 + 2 * 366 * 86_400, 1800, dtype=np.int64)
    local = table.to_local(true)
    utc, doubt = table.to_utc(local, "changes", 1800)
    assert utc.tolist() == true.tolist() == brute_utc(local.tolist(), zone)
    assert not doubt.any()


@pytest.mark.parametrize("zone", ["America/Denver", "Australia/Sydney"])
def test_stamps_without_order_are_shifted_the_same(zone: str) -> None:
    """More falls than are stepped through one by one: the general way; hours that come twice are left out here."""
    table = table_of_zone(zone)
    true = np.arange(1_735_000_000 // 3600 * 3600, 1_735_000_000 + 366 * 86_400, 3600, dtype=np.int64)
    local = table.to_local(true)
    values, counts = np.unique(local, return_counts=True)
    once = np.isin(local, values[counts == 1])
    true, local = true[once], local[once]
    order = np.random.default_rng(3).permutation(len(local))
    mixed, _ = table.to_utc(local[order], "changes", 3600)
    assert mixed.tolist() == true[order].tolist()


ODD_STAMPS = [
    "2025-03-01 07", "1/2/2025 7 AM", " 3/1/2025 7:05 PM", "3/1/2025 7:05 PM  ", "3/1/2025  7:05 PM", "3/1/2025", "",
    "x",
    "3/1/2025 7:05:01 PM", "3/1/2025 0:00:01", "3/1/2025 0:00:00.5", "3/1/2025, 7:05", "Mar 1, 2025 7:05 PM",
    "1-Mar-25 7:05", "3/1/2025 25:00", "3/1/2025 24:00", "13/1/2025 7:05", "3/1/2025 7:05 MST", "3/1/2025 07:05-07:00",
    "3/1/2025 0705", "20250301 0705", "202503010705", "3/1/2025" + " " * 60 + "7:05", "3/1/2025 7:05 PM ext",
    "3/1/2025 7", "3.1.2025 7:05", "2025-03-01T07:05", "2025-03-01t07:05:00", "2025-03-01_07:05", "3/1/2025 7:05 pm",
    "\u0663/1/2025 7:05", "3/1/2025\u00a07:05",
]  # fmt: skip


BASES = ("{}/2/2025 {}:05 AM", "0{}/02/2025 0{}:05", "2025-02-0{} 0{}:05", "2025-02-0{}T0{}:05")


@pytest.mark.parametrize("offsets", ["", "written"])
@pytest.mark.parametrize("order", ["mdy", "dmy", "ymd"])
@pytest.mark.parametrize(
    "base", ["{}/2/2025 {}:05 AM", "0{}/02/2025 0{}:05", "2025-02-0{} 0{}:05", "2025-02-0{}T0{}:05"]
)
def test_stamps_read_by_their_parts_are_those_read_whole(base: str, order: str, offsets: str) -> None:
    """One odd stamp among sound ones of a file's usual shape, and odd ones alone."""
    sound = [base.format(1 + at % 9, 1 + at * 7 % 9) for at in range(12)]
    for odd in (*ODD_STAMPS, ODD_STAMPS):
        stamps = [*sound[:5], odd, *sound[5:]] if isinstance(odd, str) else odd
        data = "t;v\n" + "".join(f"{stamp};{at}\n" for at, stamp in enumerate(stamps))
        columns = (Column("t", "start"), Column("v", "value", "W", "mean"))
        mapping = Mapping(columns, separator=";", zone="America/Denver", date_order=order, offsets=offsets)
        made: list[object] = []
        for by_lines in (False, True):
            try:
                found = read_csv(Source(io.BytesIO(data.encode())), mapping.check(), by_lines=by_lines)
                kept = [column.tolist() for column in found.channels[0].pack.arrays()]
                made.append((kept, found.unread.rows, found.unread.cells))
            except DeadfrontError as refused:
                made.append(refused.msg.key)
        assert made[0] == made[1], odd


def test_a_large_file_has_the_same_checksum_as_a_small_one() -> None:
    """The checksum made beside the reading, against hashlib on the whole."""
    import hashlib

    rows = b"".join(b"2025-01-01 00:%02d:%02d,%d\n" % (at // 60 % 60, at % 60, at) for at in range(150_000))
    data = b"t,v\n" + rows
    source = Source(io.BytesIO(data))
    assert len(data) > 3_000_000 and source.sha256() == hashlib.sha256(data).hexdigest()
    source.restart()
    source.read(1000)
    source.restart()
    assert source.sha256() == hashlib.sha256(data).hexdigest()
