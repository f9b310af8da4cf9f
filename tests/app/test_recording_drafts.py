"""A recording file before it is read: what the page shows of its first rows is what reading makes of them.

Expected: independent (the whole engine: read and series_of, the preview shares no step of theirs but the reading of
one cell and one stamp), and hand where the working stands beside.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from deadfront.app.feed_drafts import feed_channels
from deadfront.app.recording_drafts import Cut, RowAsRead, channels_at, draft_of, rows_as_read, table_at
from deadfront.recordings.mapping import ENERGY, UNITS, Column, Mapping
from deadfront.recordings.read import read
from deadfront.recordings.series import series_of
from deadfront.recordings.trouble import RecordingUnreadable
from tests.recordings.espi_file import Meter, feed

VALUE = Column("used", "value", "kWh", "energy")
START = Column("time", "start")
DENVER = "America/Denver"
TIMES = [(hour, minute) for hour in range(12) for minute in (0, 15, 30, 45)]


def table(head: str, *rows: str) -> bytes:
    return ("\n".join((head, *rows)) + "\n").encode()


def quarter_hours(form: str, day: str = "2025-03-08") -> list[str]:
    """Rows of a morning; `form` is filled with the day, hour, minute and a figure."""
    return [form.format(day=day, h=hour, m=minute, v=0.1 + n / 100) for n, (hour, minute) in enumerate(TIMES)]


CASES = {
    "start": (table("time,used", *quarter_hours("{day} {h:02}:{m:02},{v:.2f}")), Mapping((START, VALUE), zone=DENVER)),
    "end": (
        table("time,used", *quarter_hours("{day} {h:02}:{m:02},{v:.2f}")),
        Mapping((Column("time", "end"), VALUE), zone=DENVER, stamps="end"),
    ),
    "both": (
        table("from,to,used", *quarter_hours("{day} {h:02}:{m:02},{day} {h:02}:{m:02}:30,{v:.2f}")),
        Mapping((Column("from", "start"), Column("to", "end"), VALUE), zone=DENVER),
    ),
    "date and clock": (
        table("date;clock;used", *(r.replace(".", ",") for r in quarter_hours("08/03/2025;{h:02}:{m:02};{v:.2f}"))),
        Mapping(
            (Column("date", "date"), Column("clock", "clock"), VALUE), separator=";", decimal=",", date_order="dmy",
            zone="America/New_York",
        ),
    ),
    "counted in UTC": (
        table("time,used", *(f"{1_741_417_200 + 900 * n},{0.1 + n / 100:.2f}" for n in range(48))),
        Mapping((START, VALUE), stamp_form="epoch_s", zone=DENVER),
    ),
    "with offsets": (
        table("time,used", *quarter_hours("{day}T{h:02}:{m:02}:00-07:00,{v:.2f}")),
        Mapping((START, VALUE), zone=DENVER, offsets="written"),
    ),
    "mean power": (
        table("time,used", *quarter_hours("{day} {h:02}:{m:02},{v:.2f}")),
        Mapping((START, Column("used", "value", "kW", "mean")), zone=DENVER),
    ),
    "by the half hour, told": (
        table("time,used", *quarter_hours("{day} {h:02}:{m:02},{v:.2f}")[::2]),
        Mapping((START, VALUE), zone=DENVER, interval_s=900),
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_the_first_rows_are_read_as_the_engine_reads_them(case: str, tmp_path: Path) -> None:
    data, mapping = CASES[case]
    path = tmp_path / "usage.csv"
    path.write_bytes(data)
    cut = Cut(mapping.separator, "utf-8", 0, 1)
    shown = rows_as_read(table_at(data, cut), mapping, 48)
    with path.open("rb") as file:
        found = read(file, mapping)
    series = series_of(found, found.channels[0])
    assert len(shown) == len(series.start_s) > 20
    clock = found.clock.to_local(series.start_s)
    for row, start, length, mean in zip(shown, clock, series.length_s, series.mean, strict=True):
        assert datetime.fromisoformat(row.start) == datetime(1970, 1, 1) + _seconds(start)
        assert datetime.fromisoformat(row.end) == datetime(1970, 1, 1) + _seconds(start + length)
        (amount,) = row.amounts
        told = amount.mean if amount.unit in ENERGY else amount.value
        unit = amount.mean_unit if amount.unit in ENERGY else amount.unit
        assert told is not None and told * UNITS[unit] == pytest.approx(mean)


def _seconds(count: float):  # type: ignore[no-untyped-def]
    from datetime import timedelta

    return timedelta(seconds=int(count))


def test_what_is_still_open_is_shown_as_not_told() -> None:
    data = table("time,used", "01/02/2025 00:00,1.500", "01/02/2025 00:15,1.600")
    found = table_at(data, Cut(",", "utf-8", 0, 1))
    whole = Mapping((START, VALUE), zone=DENVER, date_order="dmy")
    assert [row.start for row in rows_as_read(found, whole)] == ["2025-02-01 00:00", "2025-02-01 00:15"]
    assert [row.start for row in rows_as_read(found, replace(whole, date_order=""))] == ["", ""]
    assert [row.amounts[0].value for row in rows_as_read(found, replace(whole, decimal=""))] == [None, None]
    assert rows_as_read(found, replace(whole, zone=""))[0].start == "2025-02-01 00:00", "the clock of the file"
    with pytest.raises(RecordingUnreadable):
        rows_as_read(found, replace(whole, zone="Nowhere/Town"))
    with pytest.raises(RecordingUnreadable):
        rows_as_read(found, replace(whole, columns=(Column("other", "start"), VALUE)))


def test_a_register_is_told_by_its_rise_in_each_channel() -> None:
    """1.25 - 1.00 kWh in a quarter of an hour: 1 kW; 5.5 - 5 kWh: 2 kW."""
    data = table("time,used,who", *(
        f"2025-01-01 00:{minute:02},{value},{who}"
        for minute, values in ((0, (1.0, 5.0)), (15, (1.25, 5.5))) for value, who in zip(values, "ab", strict=True)
    ))  # fmt: skip
    mapping = Mapping((START, replace(VALUE, kind="register"), Column("who", "channel")), zone="UTC", interval_s=900)
    shown = rows_as_read(table_at(data, Cut(",", "utf-8", 0, 1)), mapping)
    assert [row.amounts[0].mean for row in shown] == [None, None, 1.0, 2.0]


def test_channels_are_called_as_reading_calls_them(tmp_path: Path) -> None:
    path = tmp_path / "legs.csv"
    rows = [f"2025-01-01 {h:02}:{m:02},{500 + m},{900 + m}" for h, m in TIMES] * 60
    path.write_bytes(table("time,L1 (W),L2 (W)", *rows))
    assert path.stat().st_size > 1 << 16, "longer than what is looked at"
    guess = draft_of(None, path, DENVER).guess
    assert guess is not None
    with path.open("rb") as file:
        names = tuple(channel.name for channel in read(file, guess.mapping).channels)
    assert channels_at(path, guess.mapping) == names and len(names) == 2
    assert channels_at(path, replace(guess.mapping, zone="")) == ()


def test_a_table_is_cut_where_a_person_says_it_is() -> None:
    data = b"Report;x\nof a house;y\n\ntime;used;note\n2025-01-01 00:00;1,5;a\n2025-01-01 00:15;1,6;b\nend\n"
    found = table_at(data, Cut(";", "utf-8", 3, 4))
    assert found.names == ("time", "used", "note") and len(found.rows) == 2 and found.before == 3
    assert table_at(data, Cut(";", "utf-8", -1, 4)).names == ("", "", "")
    with pytest.raises(RecordingUnreadable):
        table_at(data, Cut("\t", "utf-8", 3, 4))
    with pytest.raises(RecordingUnreadable):
        table_at(data, Cut(";", "utf-8", 3, 400))


def test_a_feed_shows_its_rows_as_they_are_read(tmp_path: Path) -> None:
    """100 tens of Wh: 1,000 Wh in a quarter of an hour, 4,000 W; 1735714800 is 2025-01-01 00:00 seven hours west."""
    path = tmp_path / "usage.xml"
    readings = [(1_735_714_800 + 900 * n, 900, 100 + n, ()) for n in range(96)]
    path.write_bytes(feed(Meter(list(readings), {"uom": "72", "powerOfTenMultiplier": "1", "flowDirection": "19"})))
    (channel,) = feed_channels(path)
    assert (channel.unit, channel.kind, channel.direction, channel.scale) == ("Wh", "energy", "received", 10)
    assert channel.readings == 96 and len(channel.rows) == 3
    first: RowAsRead = channel.rows[0]
    assert first.cells == ("1735714800", "900", "100")
    assert (first.start, first.end) == ("2025-01-01 00:00", "2025-01-01 00:15")
    assert (first.amounts[0].value, first.amounts[0].mean, first.amounts[0].mean_unit) == (1000, 4000, "W")
