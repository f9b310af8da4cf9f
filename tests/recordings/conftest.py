"""The measured household, read once for all tests that are held against it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from deadfront.recordings.answer import Reduction
from deadfront.recordings.mapping import Column, Mapping
from deadfront.recordings.quality import examine
from deadfront.recordings.read import read
from deadfront.recordings.recording import Recording
from deadfront.recordings.reduce import provenance_of, reduce
from deadfront.recordings.series import Series, series_of
from tests.recordings.household import household_csv

POWER = "Global_active_power"
COLUMNS = (
    Column("date_time", "start"),
    Column(POWER, "value", "kW", "mean"),
    Column("Global_reactive_power", "value", "kvar", "mean"),
    Column("Voltage", "value", "V", "mean"),
    Column("Global_intensity", "value", "A", "mean"),
    Column("Sub_metering_1", "value", "Wh", "energy"),
    Column("Sub_metering_2", "value", "Wh", "energy"),
    Column("Sub_metering_3", "value", "Wh", "energy"),
)
# The stamps are taken as they stand, without a clock change, as in the reference figures.
MAPPING = Mapping(COLUMNS, zone="UTC")


@pytest.fixture(scope="session")
def household_file() -> Path:
    """The table."""
    return household_csv()


@pytest.fixture(scope="session")
def household(household_file: Path) -> Recording:
    """The table as read, all columns."""
    with household_file.open("rb") as file:
        return read(file, MAPPING)


@pytest.fixture(scope="session")
def marked(household: Recording) -> Series:
    """Its power with every mark, found with the help of the other columns."""
    others = tuple(series_of(household, each) for each in household.channels if each.name != POWER)
    return examine(series_of(household, POWER), others)[0]


def year_start(year: int) -> int:
    """The first second of a year, UTC."""
    return int(datetime(year, 1, 1, tzinfo=UTC).timestamp())


@pytest.fixture(scope="session")
def of_year(household: Recording) -> Callable[[int], Reduction]:
    """The reduction of one calendar year, made once."""
    kept: dict[int, Reduction] = {}
    power = series_of(household, POWER)

    def made(year: int) -> Reduction:
        if year not in kept:
            part, report = examine(power.cut(year_start(year), year_start(year + 1)))
            kept[year] = reduce(part, report, provenance_of(household, POWER))
        return kept[year]

    return made
