"""A figure of the code book that is a little wrong is noticed by a published case; what none notices is named."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from deadfront.codebook import Codebook, open_book
from deadfront.codebook.data_files import data
from deadfront.sources.rules.array import conductor_least
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome
from tests.sources.made import answer, bus_of, facts_from, option, panel, value

EDITIONS = ("2014", "2023")
ISSUE = {"source_current_percent", "bus_opposite_end_percent", "bus_center_fed_percent", "tap_short_ft",
         "tap_short_percent", "tap_long_ft", "tap_long_part", "supply_side_indoors_ft", "array_volts_max",
         "array_volts_base_c", "array_current_percent", "array_conductor_percent", "battery_disconnect_ft"}  # fmt: skip
SEEN = {"source_current_percent", "bus_opposite_end_percent", "array_volts_base_c", "array_current_percent",
        "array_conductor_percent"}  # fmt: skip


def full_bus(book: Codebook) -> bool:
    """Published, IC-01: just 40 A beside a full main on its bus."""
    at, over = (option(bus_of(answer(panel(output_a=each), book=book)), "opposite_end") for each in (32, 33))
    return at.outcome is Outcome.MEETS and over.outcome is Outcome.FAILS


def outputs(book: Codebook) -> bool:
    """Published, IC-07 and IC-08: 39.58 A of 7600 W, 62.5 A of fifty outputs."""
    watts = panel(output_a=None, source={"output_w": 7600, "volts": 240})
    found = [value(bus_of(answer(house, book=book)).current) for house in (watts, panel(output_a=50))]
    return abs(found[0] - 39.5833) < 0.001 and found[1] == 62.5


def cold(book: Codebook) -> bool:
    """Published, PV-03: 505 V by the coefficient, 524 V by the table."""
    modules = {"in_series": 12, "open_volts_v": 38.3, "open_percent_per_c": -0.31, "crystalline": True}
    (string,) = answer(panel(source={"modules": [modules], "lowest_c": -7}), book=book).strings
    assert string.by_coefficient is not None and string.by_table is not None
    return abs(value(string.by_coefficient) - 505.192) < 0.01 and abs(value(string.by_table) - 523.944) < 0.01


def crossover(book: Codebook) -> bool:
    """Published, PV-04: both tests of the conductors give 1.5625 Isc where the factors are 0.80."""
    facts = facts_from(panel(), book=book)
    short = build.given("isc", "source.short_circuit_a", 1, "A", None)
    both = (conductor_least(facts, "x", short), conductor_least(facts, "x", short, Decimal("0.8")))
    return all(value(each) == 1.5625 for each in both)


CASES: tuple[Callable[[Codebook], bool], ...] = (full_bus, outputs, cold, crossover)


def changed(book: Codebook, name: str) -> Codebook:
    """The book with one figure a tenth larger."""
    entry = book.value(name)
    return replace(book, digest=f"{name} changed",
                   _values={**book._values, name: replace(entry, value=entry.number * Decimal("1.1"))})  # fmt: skip


def noticed(book: Codebook) -> bool:
    return not all(case(book) for case in CASES)


@pytest.mark.parametrize("edition", EDITIONS)
def test_nothing_is_noticed_before_anything_is_changed(edition: str) -> None:
    assert not noticed(open_book(edition))


@pytest.mark.parametrize("edition", EDITIONS)
def test_figures_changed_one_at_a_time(edition: str) -> None:
    """Every figure that the published cases rest on is noticed; the others are named here and worked by hand alone."""
    book = open_book(edition)
    assert set(data().values) >= ISSUE
    tried = {name for name in ISSUE if book.has(name)}
    assert {name for name in tried if noticed(changed(book, name))} == SEEN & tried
    assert len(SEEN & tried) == 5


def test_rows_of_the_table_changed_one_at_a_time() -> None:
    """One of thirteen rows has a published case; the rest stand from memory, in the order of their temperatures."""
    book = open_book("2023")
    table = book.table("array_voltage_factor")
    seen = []
    for number, row in enumerate(table.rows):
        rows = (*table.rows[:number], {**row, "factor": Decimal(str(row["factor"])) + Decimal("0.01")},
                *table.rows[number + 1 :])  # fmt: skip
        other = replace(table, rows=rows)
        if noticed(replace(book, digest=f"row {number}", _tables={**book._tables, table.name: other})):
            seen.append(row["celsius_min"])
    assert seen == [-10] and len(table.rows) == 13
    factors = [Decimal(str(row["factor"])) for row in table.rows]
    assert factors == sorted(factors) and len(set(factors)) == 13
