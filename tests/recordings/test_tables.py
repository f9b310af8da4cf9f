"""Tables of every shape: what is understood, what is asked, and that both readers say the same."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from deadfront.documents.catalog import Catalog
from deadfront.errors import DeadfrontError
from deadfront.recordings.guess import Guess, guess_mapping, guess_parquet
from deadfront.recordings.mapping import Column, Mapping, mapping_from_json
from deadfront.recordings.marks import Mark
from deadfront.recordings.read import read, read_csv
from deadfront.recordings.series import Series, series_of
from deadfront.recordings.source import Source
from deadfront.recordings.trouble import MappingUnclear, ReadingStopped, RecordingUnreadable
from tests.recordings.making import PLAIN, T0, minute_stamps, only, opened, table

VALUES = [0.25 + (at * 37 % 101) / 20 for at in range(200)]


def both(data: bytes, mapping: Mapping) -> tuple[list[tuple[str, list[list[float]]]], bool]:
    """What both readers make of a table, which must be the same; and whether the columns took it."""
    made = []
    for by_lines in (False, True):
        recording = read_csv(Source(io.BytesIO(data)), mapping.check(), by_lines=by_lines)
        made.append(
            ([(each.name, [column.tolist() for column in each.pack.arrays()]) for each in recording.channels],
             recording.unread.rows, recording.unread.cells, recording.rows, recording.sha256, recording.reader)
        )  # fmt: skip
    assert made[0][:5] == made[1][:5]
    return made[0][0], made[0][5] == "columns"


FORMS = {
    "iso": "%Y-%m-%d %H:%M", "iso_t": "%Y-%m-%dT%H:%M:%S", "us": "%m/%d/%Y %I:%M %p", "eu": "%d.%m.%Y %H:%M",
    "compact": "%Y%m%d%H%M", "named": "%d-%b-%Y %H:%M",
}  # fmt: skip


def written(value: float, decimal: str) -> str:
    """A figure with its decimal mark, never of a shape that groups by three."""
    return f"{value:.2f}".replace(".", decimal)


@pytest.mark.parametrize(("form", "separator", "decimal"), list(product(FORMS, [",", ";", "\t", "|"], [".", ","])))
def test_a_guess_reads_every_spelling(form: str, separator: str, decimal: str) -> None:
    """The same 200 quarter hours in six date forms, four separators and both decimal marks give the same series."""
    from datetime import datetime

    quote = '"' if separator == decimal else ""
    rows = [(datetime.fromisoformat(stamp).strftime(FORMS[form]), f"{quote}{written(value, decimal)}{quote}")
            for stamp, value in zip(minute_stamps(200, 15, "2025-03-20T00:00"), VALUES, strict=True)]  # fmt: skip
    data = b"Report of use\n\n" + table(rows, ("When", "Demand kW"), separator)
    guess = guess_mapping(data, zone="UTC")
    assert not [doubt.field for doubt in guess.doubts if doubt.must]
    series = only(data, guess.mapping)
    assert series.start_s.tolist() == [1_742_428_800 + 900 * at for at in range(200)]  # 2025-03-20 00:00 UTC
    assert series.mean.tolist() == pytest.approx([round(value, 2) * 1000 for value in VALUES])
    both(data, guess.mapping)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
def test_encodings(encoding: str) -> None:
    data = "Zähler;Leistung kW\n" + "\n".join(f"{stamp};1,{at % 90 + 10}" for at, stamp in enumerate(minute_stamps(50)))
    guess = guess_mapping(data.encode(encoding), zone="UTC")
    assert only(data.encode(encoding), guess.mapping).mean.tolist() == pytest.approx(
        [1000 + 10 * (at % 90 + 10) for at in range(50)]
    )


def test_preamble_end_minutes_money_and_notes() -> None:
    """A utility's table: header junk, a date and two clocks, the last minute as the end, quotes, cost, notes."""
    rows = []
    for at in range(300):
        start, end = (f"{at // 4 % 24}:{at % 4 * 15 + minute:02}" for minute in (0, 14))
        rows.append(("Electric", f"2025-01-{1 + at // 96:02}", start, end, f'"{0.2 + at % 7 / 10:.2f}"', "$0.11", ""))
    names = ("TYPE", "DATE", "START TIME", "END TIME", "USAGE (kWh)", "COST", "NOTES")
    data = b"Name,A. Sample\nAddress,14 Hollow Creek Rd\n\n" + table(rows, names)
    guess = guess_mapping(data, zone="America/Denver")
    assert {column.use: column.at for column in guess.mapping.columns} == {
        "date": "DATE", "clock": "START TIME", "clock_end": "END TIME", "value": "USAGE (kWh)",
    }  # fmt: skip
    series = only(data, guess.mapping)
    assert set(series.length_s.tolist()) == {900} and series.step_s == 900
    assert series.mean[0] == pytest.approx(800)  # hand: 0.2 kWh in a quarter hour
    assert both(data, guess.mapping)[1]


def asked(data: bytes) -> dict[str, str]:
    """What a guess asks for before reading, and what it proposes."""
    return {doubt.field: doubt.proposed for doubt in guess_mapping(data, zone="UTC").doubts if doubt.must}


def test_an_order_that_cannot_be_told_is_asked() -> None:
    data = table((f"03/04/2025 {at // 60:02}:{at % 60:02}", 1.5) for at in range(90))
    assert asked(data) == {"date_order": ""}
    guess = guess_mapping(data, zone="UTC")
    assert guess.mapping.date_order == "" and guess.preview[0].stamp == ""
    with pytest.raises(MappingUnclear) as told:
        opened(data, guess.mapping)
    assert "order of day and month" in Catalog("en", strict=True).say(told.value.msg)
    series = only(data, replace(guess.mapping, date_order="dmy"))
    assert int(series.start_s[0]) == 1_743_638_400  # 2025-04-03 00:00 UTC


def test_an_order_told_by_the_steps_is_said() -> None:
    stamps = [f"{day:02}/03/2025 {hour:02}:00" for day in (4, 5, 6) for hour in range(24)]
    guess = guess_mapping(table((each, 1.5) for each in stamps), zone="UTC")
    assert guess.mapping.date_order == "dmy"
    assert [doubt.field for doubt in guess.doubts if doubt.proposed == "dmy"] == ["date_order"]


@pytest.mark.parametrize(
    ("data", "field"),
    [
        (table((each, 1.5) for each in minute_stamps(30)).replace(b"kW", b"power"), "unit"),
        (table(((each, "1,234") for each in minute_stamps(30)), separator=";"), "decimal"),
    ],
)
def test_what_cannot_be_told_is_asked(data: bytes, field: str) -> None:
    assert list(asked(data)) == [field]


def test_the_place_is_asked_where_it_is_not_given() -> None:
    guess = guess_mapping(table((each, 1.5) for each in minute_stamps(30)))
    assert "zone" in [doubt.field for doubt in guess.doubts if doubt.must]


@pytest.mark.parametrize(
    ("data", "key"),
    [
        (b"", "recordings.guess.no_table"),
        (b"\0\1\2\3" * 100, "recordings.guess.no_table"),
        (b"a,b\n1,2\n3,4\n", "recordings.guess.no_table"),
    ],
)  # fmt: skip
def test_what_is_no_table_says_so(data: bytes, key: str) -> None:
    with pytest.raises(RecordingUnreadable) as told:
        guess_mapping(data)
    assert told.value.msg.key == key


def test_many_channels_side_by_side() -> None:
    rows = [(stamp, *(at + number for number in range(32))) for at, stamp in enumerate(minute_stamps(40))]
    data = table(rows, ("time", *(f"circuit {number} W" for number in range(32))))
    recording = opened(data, guess_mapping(data, zone="UTC").mapping)
    assert len(recording.channels) == 32
    assert series_of(recording, "circuit 7 W").mean.tolist() == [at + 7 for at in range(40)]


def test_many_channels_below_each_other() -> None:
    rows = [(stamp, name, leg, at * 10 + number) for at, stamp in enumerate(minute_stamps(40))
            for number, (name, leg) in enumerate([("range", "L1"), ("range", "L2"), ("dryer", "L1")])]  # fmt: skip
    data = table(rows, ("time", "circuit", "leg", "watts"))
    guess = guess_mapping(data, zone="UTC")
    recording = opened(data, guess.mapping)
    assert [(each.name, each.leg) for each in recording.channels] == [
        ("range L1", "L1"), ("range L2", "L2"), ("dryer L1", "L1"),
    ]  # fmt: skip
    assert series_of(recording, "dryer L1").mean.tolist() == [at * 10 + 2 for at in range(40)]
    both(data, guess.mapping)


@pytest.mark.parametrize(("scale", "form"), [(1, "epoch_s"), (1000, "epoch_ms")])
def test_counted_seconds(scale: int, form: str) -> None:
    data = table([((T0 + 60 * at) * scale, 500 + at) for at in range(30)], ("ts", "mains W"))
    guess = guess_mapping(data, zone="America/Denver")
    assert guess.mapping.stamp_form == form
    assert only(data, guess.mapping).start_s.tolist() == [T0 + 60 * at for at in range(30)]


def test_a_register_is_seen_and_taken_by_differences() -> None:
    data = table(((stamp, f"{15_000 + at * 0.25:.2f}") for at, stamp in enumerate(minute_stamps(40, 15))),
                 ("time", "total kWh"))  # fmt: skip
    guess = guess_mapping(data, zone="UTC")
    assert guess.mapping.with_use("value")[0].kind == "register"
    assert [doubt.proposed for doubt in guess.doubts if doubt.field == "kind"] == ["register"]
    series = only(data, guess.mapping)
    assert series.mean.tolist() == pytest.approx([1_000.0] * 39)  # hand: 0.25 kWh in a quarter hour


def test_a_register_that_falls_is_left_out_and_counted() -> None:
    data = table(zip(minute_stamps(6, 15), [10, 11, 12, 0, 1, 2], strict=True), ("time", "kW"))
    series = only(data, replace(PLAIN, columns=(Column("time", "start"), Column("kW", "value", "kWh", "register"))))
    assert series.counts.resets == 1
    assert series.mean.tolist() == [4_000.0] * 4
    assert (series.marks & int(Mark.RESET) != 0).tolist() == [False, False, True, False]


ODD = [
    "bad", "", "NaN", "1.5", "-2", "1e3", "+4", " 7 ", '"8"', "1 000", "inf", "-", "0x10", "9.5 kW", "1e300", "null",
    ".5", "5.",
]  # fmt: skip


@pytest.mark.parametrize("cell", ODD)
def test_both_readers_agree_on_odd_cells(cell: str) -> None:
    rows = list(zip(minute_stamps(5), ["1", "2", cell, "4", "5"], strict=True))
    both(table(rows), PLAIN)


@pytest.mark.parametrize(
    "line", ["x", "2025-03-01 00:01,3,4", "total,,", "2025-02-31 00:00,1", ",", '"2025-03-01 00:09",3']
)
def test_both_readers_agree_on_odd_rows(line: str) -> None:
    rows = table(zip(minute_stamps(5), range(5), strict=True))
    both(rows + line.encode() + b"\n\n2025-03-01 00:20,9\n", PLAIN)


def test_marks_of_the_file_are_kept() -> None:
    rows = zip(minute_stamps(4), range(4), ["A", "Estimated", "edited by hand", "odd"], strict=True)
    data = table(rows, ("time", "kW", "status"))
    series = only(data, replace(PLAIN, columns=(*PLAIN.columns, Column("status", "quality"))))
    assert series.marks.tolist() == [Mark.VALID, Mark.ESTIMATED, Mark.EDITED, Mark.QUESTIONED]


def test_duplicates_keep_the_largest_and_are_counted() -> None:
    stamps = minute_stamps(4)
    series = only(
        table([(stamps[0], 1), (stamps[1], 2), (stamps[1], 5), (stamps[2], 3), (stamps[2], 3), (stamps[3], 4)])
    )
    assert series.mean.tolist() == [1000, 5000, 3000, 4000]
    assert (series.counts.same_twice, series.counts.other_twice) == (1, 1)
    assert (series.marks & int(Mark.DUPLICATE) != 0).tolist() == [False, True, True, False]


def test_order_jumps_overlaps() -> None:
    stamps = minute_stamps(60)
    mixed = only(table((stamps[at], at) for at in [*range(10, 60), *range(10)]))
    assert mixed.counts.out_of_order == 1 and mixed.mean.tolist() == [at * 1000 for at in range(60)]
    half = [f"{stamp}:{30 if at > 40 else 0:02}" for at, stamp in enumerate(stamps)]
    jumped = only(table((each, 1) for each in half))
    assert jumped.counts.clock_jumps == 1 and int(np.flatnonzero(jumped.marks & int(Mark.CLOCK_JUMP))[0]) == 41
    rows = [("2025-03-01 00:00", "2025-03-01 00:15", 1), ("2025-03-01 00:10", "2025-03-01 00:25", 1)]
    over = replace(PLAIN, columns=(Column("a", "start"), Column("b", "end"), Column("kW", "value", "kW", "mean")))
    assert only(table(rows, ("a", "b", "kW")), over).counts.overlapped == 1


def test_ends_are_taken_back_to_starts() -> None:
    series = only(table((each, 1) for each in minute_stamps(5, 15)), replace(PLAIN, stamps="end"))
    assert int(series.start_s[0]) == T0 - 900


def test_progress_and_stop() -> None:
    data = table((each, 1) for each in minute_stamps(20_000))
    seen: list[int] = []
    read(io.BytesIO(data), PLAIN, progress=seen.append)
    assert seen == sorted(seen) and seen[-1] == len(data)
    for by_lines in (False, True):
        with pytest.raises(ReadingStopped):
            read_csv(Source(io.BytesIO(data), stop=lambda: True), PLAIN, by_lines=by_lines)
    with pytest.raises(ReadingStopped):
        read(io.BytesIO(b"<feed>"), stop=lambda: True)


def as_parquet(mapping: Mapping, data: bytes) -> bytes:
    """A CSV table as Parquet, its time as a real timestamp."""
    import pyarrow as pa
    from pyarrow import csv, parquet

    found = csv.read_csv(io.BytesIO(data))
    out = pa.BufferOutputStream()
    parquet.write_table(found, out, row_group_size=100)
    return out.getvalue().to_pybytes()


def test_parquet_says_the_same() -> None:
    data = table(
        ((f"{stamp}:00", value) for stamp, value in zip(minute_stamps(200), VALUES, strict=True)), ("time", "kW")
    )
    packed = as_parquet(PLAIN, data)
    guess: Guess = guess_parquet(io.BytesIO(packed), zone="UTC")
    kept: list[Series] = [only(data, PLAIN), only(packed, PLAIN), only(packed, guess.mapping)]
    assert all(
        np.array_equal(kept[0].mean, each.mean) and np.array_equal(kept[0].start_s, each.start_s) for each in kept
    )
    with pytest.raises(RecordingUnreadable):
        opened(packed[:-20], PLAIN)


def test_a_mapping_survives_json_and_refuses_what_it_does_not_know() -> None:
    assert mapping_from_json(PLAIN.to_json()) == PLAIN
    for change in ({"separator": "#"}, {"colour": 1}, {"columns": [{"at": 0}]}, {"first_line": -5}, {"zone": 3},
                   {"columns": []}, {"decimal": ",", "thousands": ","}):  # fmt: skip
        with pytest.raises(DeadfrontError):
            mapping_from_json({**PLAIN.to_json(), **change})


def test_everything_a_guess_says_has_words() -> None:
    data = b"Report\n\n" + table(((stamp, "A", 1.5, "$1") for stamp in minute_stamps(30)),
                                 ("time", "status", "power W", "cost"))  # fmt: skip
    guess = guess_mapping(data)
    for language in ("en", "es"):
        catalog = Catalog(language, strict=True)
        for msg in (*guess.understood, *(doubt.say for doubt in guess.doubts)):
            assert catalog.say(msg) and "[" not in catalog.say(msg)
    assert guess.preview[0].values == (1.5,)
