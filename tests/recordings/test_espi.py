"""ESPI: links, optional fields, scale, flow, quality, both time forms; refusals; the figures of a public sample."""

from __future__ import annotations

import io
import re

import numpy as np
import pytest

from deadfront.errors import DeadfrontError
from deadfront.recordings.marks import DOUBTFUL, Mark
from deadfront.recordings.read import read
from deadfront.recordings.reduce import reduce_channel
from deadfront.recordings.series import Series, series_of
from deadfront.recordings.trouble import RecordingUnreadable, RecordingUnsafe
from tests.recordings.espi_file import Meter, feed

T0 = 1_330_578_000
NAMES = r"<(/?)(kind|value|start|duration|quality|timePeriod|interval|uom|powerOfTenMultiplier|dst\w+|tzOffset)>"
CODES = [(0, 0), (7, Mark.EDITED), (8, Mark.ESTIMATED), (9, Mark.ESTIMATED), (10, Mark.QUESTIONED), (14, 0), (17, 0),
         (19, 0), (77, Mark.QUESTIONED)]  # fmt: skip


def sample() -> Meter:
    """96 quarter hours whose sum is 93,846 Wh, the largest 1,652 Wh, two of them estimated.

    Published: 93.846 kWh, peak 6.608 kW (1.652 kWh times 4), 96 readings, 2 flagged: the figures of fixture 01 of the
    public schema's own repository; the single readings here are ours.
    """
    values = [970] * 96
    values[70] = 1_652
    values[10] -= sum(values) - 93_846
    assert sum(values) == 93_846 and min(values) > 0
    return Meter([(T0 + 900 * at, 900, value, (8,) if at in (3, 50) else (0,)) for at, value in enumerate(values)])


def first(data: bytes) -> Series:
    """The series of a feed's first channel."""
    recording = read(io.BytesIO(data))
    return series_of(recording, recording.channels[0])


@pytest.mark.parametrize("time", ["LocalTimeParameters", "TimeConfiguration"])
@pytest.mark.parametrize("types_last", [False, True])
def test_the_public_sample(time: str, types_last: bool) -> None:
    recording = read(io.BytesIO(feed(sample(), time=time, types_last=types_last)))
    made = reduce_channel(recording, recording.channels[0])
    assert made.demand is not None
    series = series_of(recording, recording.channels[0])
    assert len(series.mean) == 96
    assert float((series.mean * series.length_s).sum()) / 3_600_000 == pytest.approx(93.846)
    assert made.demand.block.low == pytest.approx(6_608)
    assert int(((series.marks & int(DOUBTFUL)) != 0).sum()) == 2
    assert made.provenance.form == "espi" and len(made.provenance.sha256) == 64
    assert int(recording.clock.to_local(np.array([T0]))[0]) - T0 == -25_200  # March 1: standard time


@pytest.mark.parametrize(
    ("fields", "watts"),
    [
        ({"uom": "72", "powerOfTenMultiplier": "0"}, 4_000.0),  # hand: 1,000 Wh in a quarter hour
        ({"uom": "72", "powerOfTenMultiplier": "3"}, 4_000_000.0),
        ({"uom": "72", "powerOfTenMultiplier": "-3"}, 4.0),
        ({"uom": "72"}, 4_000.0),
        ({"uom": "38"}, 1_000.0),  # hand: a mean power stays what it is
        ({"uom": "5", "powerOfTenMultiplier": "-1"}, 100.0),
    ],
)
def test_scale_and_unit(fields: dict[str, str], watts: float) -> None:
    series = first(feed(Meter([(T0 + 900 * at, 900, 1_000, ()) for at in range(4)], fields)))
    assert series.mean.tolist() == [watts] * 4


def test_without_a_time_of_their_own_readings_follow_each_other() -> None:
    fields = {"uom": "72", "intervalLength": "900"}
    data = feed(Meter([(None, None, 500, ()) for _ in range(8)], fields))
    series = first(data.replace(b"<start>0</start>", f"<start>{T0}</start>".encode()))
    assert series.start_s.tolist() == [T0 + 900 * at for at in range(8)]
    assert series.mean.tolist() == [2_000.0] * 8
    with pytest.raises(RecordingUnreadable):
        first(data)


def test_a_cumulative_register_is_taken_by_differences() -> None:
    fields = {"uom": "72", "accumulationBehaviour": "3"}
    series = first(feed(Meter([(T0 + 900 * at, None, 10_000 + 250 * at, ()) for at in range(5)], fields)))
    assert series.mean.tolist() == [1_000.0] * 4


def test_both_directions_and_legs_are_told_apart() -> None:
    readings = [(T0 + 900 * at, 900, 100 + at, ()) for at in range(8)]
    meters = [Meter(readings, {"uom": "72", "flowDirection": flow, "phase": phase}, title, number)
              for number, (flow, phase, title) in enumerate([("1", "528", "In"), ("19", "272", "Out")], 1)]  # fmt: skip
    recording = read(io.BytesIO(feed(*meters, types_last=True)))
    signs = reduce_channel(recording, recording.channels[0]).quality.sources
    assert signs.suspected and signs.received == 8  # something flows back
    assert [(each.name, each.direction, each.leg) for each in recording.channels] == [
        ("House / In", "delivered", "L1"), ("House / Out", "received", "L2"),
    ]  # fmt: skip


@pytest.mark.parametrize(("code", "mark"), CODES)
def test_quality_codes(code: int, mark: int) -> None:
    series = first(feed(Meter([(T0 + 900 * at, 900, 100, (0, code)) for at in range(4)])))
    assert set(series.marks.tolist()) == {int(mark) or int(Mark.VALID)}


def test_prefixes_and_spaces_change_nothing() -> None:
    data = feed(sample()).decode()
    data = re.sub(r'<(/?)([A-Z]\w+)( xmlns="http://naesb.org/espi")?', r"<\1e:\2", data)
    data = re.sub(NAMES,
                  r"<\1e:\2>\n  ", data)  # fmt: skip
    data = data.replace("<feed ", '<feed xmlns:e="http://naesb.org/espi" ')
    assert first(data.encode()).mean.tolist() == first(feed(sample())).mean.tolist()


def test_a_document_type_is_refused() -> None:
    bomb = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;">]>'
    for data in (feed(sample()).replace(b"<feed", bomb + b"<feed", 1),
                 feed(sample()).replace(b"<feed", b'<!DOCTYPE feed SYSTEM "x.dtd"><feed', 1)):  # fmt: skip
        with pytest.raises(RecordingUnsafe) as told:
            read(io.BytesIO(data))
        assert told.value.msg.key == "recordings.xml.dtd"


@pytest.mark.parametrize(
    ("data", "key"),
    [
        (b"<a>" * 100 + b"</a>" * 100, "recordings.xml.deep"),
        (b"<a>" + b"x" * 100_000 + b"</a>", "recordings.xml.long_text"),
        (b"<a b='" + b"x" * 8_000_000 + b"'/>", "recordings.xml.long_text"),
        (b"<a></b>", "recordings.xml.broken"),
        (b"<a/>", "recordings.espi.none"),
        (b"<?xml version='1.0' encoding='no-such'?><a/>", "recordings.xml.encoding"),
        (feed(), "recordings.espi.no_readings"),
        (feed(sample())[:3000], "recordings.xml.broken"),
    ],
)
def test_what_is_refused_says_so(data: bytes, key: str) -> None:
    with pytest.raises(DeadfrontError) as told:
        read(io.BytesIO(data))
    assert told.value.msg.key == key


def test_a_feed_of_a_great_many_links_is_read_in_proportion() -> None:
    """Looked up, not searched: 400 meters of 400 links each; the names are still the right ones."""
    import time

    meters = [Meter([(T0, 900, number, ()), (T0 + 900, 900, number, ())], title=f"Meter {number}", number=number)
              for number in range(400)]  # fmt: skip
    data = feed(*meters).decode()
    more = "".join(f'<link rel="related" href="https://utility.example/other/{number}"/>' for number in range(400))
    data = data.replace('<link rel="related"', more + '<link rel="related"')
    began = time.perf_counter()
    recording = read(io.BytesIO(data.encode()))
    assert time.perf_counter() - began < 60
    assert [each.name for each in recording.channels][:2] == ["House / Meter 0", "House / Meter 1"]
    assert len(recording.channels) == 400
    assert recording.channels[7].pack.arrays()[2].tolist() == [7.0, 7.0]
