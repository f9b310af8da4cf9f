"""Small tables and series for the tests, made by hand."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from deadfront.recordings.mapping import Column, Mapping
from deadfront.recordings.read import read
from deadfront.recordings.recording import Recording
from deadfront.recordings.series import Counts, Series, series_of
from deadfront.recordings.zone import fixed

PLAIN = Mapping((Column("time", "start"), Column("kW", "value", "kW", "mean")), zone="UTC")
T0 = 1_740_787_200  # 2025-03-01 00:00 UTC


def table(rows: Iterable[Sequence[object]], names: Sequence[str] = ("time", "kW"), separator: str = ",") -> bytes:
    """A table as bytes."""
    return "\n".join(separator.join(str(cell) for cell in row) for row in (names, *rows)).encode() + b"\n"


def opened(data: bytes, mapping: Mapping = PLAIN) -> Recording:
    """A table as read."""
    return read(io.BytesIO(data), mapping)


def only(data: bytes, mapping: Mapping = PLAIN) -> Series:
    """The first channel of a table as a series."""
    recording = opened(data, mapping)
    return series_of(recording, recording.channels[0])


def local_rows(zone: str, first: str, last: str, minutes: int, fmt: str = "%Y-%m-%d %H:%M") -> list[tuple[str, int]]:
    """(clock reading, true UTC second) of every interval from first to last, as a clock of the place shows them."""
    place = ZoneInfo(zone)
    at = int(datetime.fromisoformat(first).replace(tzinfo=place).timestamp())
    end = int(datetime.fromisoformat(last).replace(tzinfo=place).timestamp())
    return [(datetime.fromtimestamp(each, place).strftime(fmt), each) for each in range(at, end, minutes * 60)]


def minute_stamps(count: int, minutes: int = 1, first: str = "2025-03-01T00:00") -> list[str]:
    """Evenly spaced stamps."""
    start = datetime.fromisoformat(first)
    return [(start + timedelta(minutes=minutes * number)).strftime("%Y-%m-%d %H:%M") for number in range(count)]


def series(mean: Sequence[float], step_s: int = 60, start: Sequence[int] | None = None) -> Series:
    """A valid series of these means [W]."""
    count = len(mean)
    at = np.array(start, dtype=np.int64) if start is not None else T0 + step_s * np.arange(count, dtype=np.int64)
    return Series("x", "W", "", "", False, at, np.full(count, step_s), np.array(mean, dtype=np.float64),
                  np.ones(count, dtype=np.uint16), step_s, fixed(0), Counts(readings=count))  # fmt: skip
