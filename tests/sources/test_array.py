"""Strings in the cold, worked by hand: by the coefficient, by the table, against what the input takes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.codebook import EDITIONS, open_book
from deadfront.results.sources import StringAnswer
from deadfront.sources.rules.array import cold_row
from deadfront.worksheet.check import Outcome
from tests.sources.made import answer, panel, told, value

MODULES = {"in_series": 10, "open_volts_v": 40, "open_percent_per_c": -0.3, "crystalline": True, "strings": 2,
           "short_circuit_a": 10, "fuse_max_a": 20}  # fmt: skip


def result(edition: str = "2023", *, lowest_c: float | None = -15, input_max_v: float | None = 600,
           **modules: Any) -> Any:  # fmt: skip
    made = {key: each for key, each in {**MODULES, **modules}.items() if each is not None}
    source = {"modules": [made]} | ({"lowest_c": lowest_c} if lowest_c is not None else {})
    # the work adds the source, so that what is not known is asked for
    house = panel(source=source | ({"input_max_v": input_max_v} if input_max_v is not None else {}))
    add = {"sources": house.pop("sources")}
    return answer(house, edition, add=add)


def string(edition: str = "2023", **facts: Any) -> StringAnswer:
    found: StringAnswer = result(edition, **facts).strings[0]
    return found


@pytest.mark.parametrize("edition", EDITIONS)
def test_by_coefficient_and_by_table(edition: str) -> None:
    """Hand: 40 degrees below 25, 0.3 % each: 12 %; 10 x 40 x 1.12 = 448 V. Table at -15: 1.16, 464 V."""
    made = string(edition)
    assert value(made.by_coefficient) == 448 and value(made.by_table) == 464
    assert made.by == "coefficient" and made.outcome is Outcome.MEETS and value(made.limit) == 600


def test_the_sign_of_the_coefficient_never_turns_the_cold_into_a_gain() -> None:
    assert value(string(open_percent_per_c=0.3).volts) == value(string(open_percent_per_c=-0.3).volts) == 448


def test_without_a_coefficient_the_table_counts_for_crystalline_cells_only() -> None:
    made = string(open_percent_per_c=None)
    assert (made.by, value(made.volts)) == ("table", 464)
    for crystalline in (None, False):
        made = string(open_percent_per_c=None, crystalline=crystalline)
        assert (made.by, made.volts, made.outcome) == ("", None, Outcome.CANNOT_TELL)
        checks = [each for each in result(open_percent_per_c=None, crystalline=crystalline).checks
                  if each.id == "source.array_voltage"]  # fmt: skip
        assert [m.path for m in checks[0].missing] == ["w-01a/s-01.modules.0.open_percent_per_c"]


@pytest.mark.parametrize(("lowest", "factor"), [
    (24, "1.02"), (20, "1.02"), (19, "1.04"), (0, "1.10"), (-1, "1.12"), (-6, "1.14"), (-7, "1.14"), (-10, "1.14"),
    ("-10.5", "1.16"), (-40, "1.25"),
])  # fmt: skip
def test_rows_of_the_table(lowest: float | str, factor: str) -> None:
    """From memory; -7 C is the published row of a course's example (1.14)."""
    row = cold_row(open_book("2023"), Decimal(str(lowest)))
    assert row is not None and row["factor"] == Decimal(factor)


def test_colder_than_the_table_is_not_read_beyond_it() -> None:
    assert cold_row(open_book("2023"), Decimal(-41)) is None
    made = result(lowest_c=-41, open_percent_per_c=None)
    assert made.strings[0].outcome is Outcome.CANNOT_TELL
    assert told(made, "source.array_voltage") == ["CANNOT_TELL colder"]
    assert string(lowest_c=-41).outcome is Outcome.MEETS  # by the coefficient


@settings(max_examples=30, deadline=None)
@given(st.integers(-40, 30), st.integers(0, 20))
def test_colder_is_never_fewer_volts(lowest: int, colder: int) -> None:
    book = open_book("2023")
    rows = [cold_row(book, Decimal(each)) for each in (max(lowest - colder, -40), lowest)]
    assert rows[0] is not None and rows[1] is not None and Decimal(str(rows[0]["factor"])) >= Decimal(
        str(rows[1]["factor"]))  # fmt: skip


def test_the_dwelling_limit_holds_whatever_the_input_takes() -> None:
    """Hand: 14 x 40 x 1.12 = 627.2 V; a 1000 V input does not help at a dwelling."""
    assert string(in_series=14, input_max_v=1000).outcome is Outcome.FAILS
    assert string(in_series=14, input_max_v=None).outcome is Outcome.FAILS
    assert string(in_series=13, input_max_v=None).outcome is Outcome.CANNOT_TELL  # 582.4 V: the input is not known
    assert string(in_series=13, input_max_v=500).outcome is Outcome.FAILS
    assert string(in_series=13, input_max_v=600).outcome is Outcome.MEETS


@pytest.mark.parametrize("lost", ["in_series", "open_volts_v"])
def test_a_fact_not_known_is_no_pass(lost: str) -> None:
    assert string(**{lost: None}).outcome is Outcome.CANNOT_TELL
    assert string(lowest_c=None).outcome is Outcome.CANNOT_TELL


def test_currents_of_a_string() -> None:
    """Hand: 1.25 x 10 = 12.5 A; 1.25 x 12.5 = 15.625 A."""
    made = string()
    assert (value(made.current), value(made.least_ampacity)) == (12.5, 15.625)


@pytest.mark.parametrize(("strings", "short", "most", "wanted"), [
    (2, 10, 20, "NOT_APPLICABLE few"), (3, 10, 20, "MEETS meets"), (3, 10, 15, "FAILS fails"),
    (None, 10, 20, "CANNOT_TELL cannot_tell"), (3, None, 20, "CANNOT_TELL cannot_tell"),
    (3, 10, None, "CANNOT_TELL cannot_tell"),
])  # fmt: skip
def test_fuses(strings: int | None, short: float | None, most: float | None, wanted: str) -> None:
    """Hand: 15.625 A is within 20 and over 15."""
    assert told(result(strings=strings, short_circuit_a=short, fuse_max_a=most), "source.array_fuse") == [wanted]


def test_the_worst_string_speaks_for_its_source() -> None:
    """Hand: 10 and 14 in series, 448 and 627.2 V: one finding, on the second."""
    house = panel(source={"modules": [MODULES, {**MODULES, "in_series": 14}], "lowest_c": -15, "input_max_v": 600})
    made = answer(house, add={"sources": house.pop("sources")})
    assert [each.outcome for each in made.strings] == [Outcome.MEETS, Outcome.FAILS]
    assert told(made, "source.array_voltage") == ["FAILS fails"]


def test_modules_not_entered_are_asked_for() -> None:
    house = panel()
    made = answer(house, add={"sources": house.pop("sources")})
    assert told(made, "source.array_voltage") == ["CANNOT_TELL none"]
