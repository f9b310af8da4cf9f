"""Printed numbers: the digits of their unit, never an exponent, and a range that still holds the truth."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from deadfront.documents.numbers import ends, number, unit_of_name, unit_style
from deadfront.quantities import Interval

UNITS = ("VA", "A", "V", "ft2", "VA/ft2", "%", "kVA", "ohm", "")
amounts = st.decimals(min_value=0, max_value=10**9, allow_nan=False, allow_infinity=False)
PRINTED = re.compile(r"\d{1,3}(,\d{3})*(\.\d+)?")


def read(text: str) -> Decimal:
    return Decimal(text.replace(",", ""))


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        ("33563.25", "VA", "33,563"), ("0.4", "VA", "0.4"), ("2.5", "VA", "3"), ("0", "VA", "0"),
        ("139.84583", "A", "139.8"), ("100.000", "A", "100"), ("17.5", "A", "17.5"), ("17.25", "A", "17.3"),
        ("0.0004", "A", "0.0004"), ("1840", "ft2", "1,840"), ("3", "VA/ft2", "3"), ("35", "%", "35"),
        ("1E+3", "V", "1,000"), ("12.5", "hp", "12.5"), ("0.333333", "", "0.333"),
    ],
)  # fmt: skip
def test_one_number(value: str, unit: str, text: str) -> None:
    """By hand: half up at the digits of the unit; whole numbers without a point; never zero for what is not."""
    assert number(Decimal(value), unit) == text


@given(amounts, st.sampled_from(UNITS))
def test_a_number_is_plain_and_near(value: Decimal, unit: str) -> None:
    text = number(value, unit)
    assert PRINTED.fullmatch(text)
    assert abs(read(text) - value) <= Decimal("0.5").scaleb(-unit_style(unit).digits)
    assert (read(text) == 0) == (value == 0) or value < Decimal("1E-9")


@given(amounts, st.one_of(st.none(), amounts), st.sampled_from(UNITS), st.sampled_from([None, 0, 1, 3]))
def test_a_printed_range_holds_the_truth(low: Decimal, more: Decimal | None, unit: str, digits: int | None) -> None:
    value = Interval(low, None if more is None else low + more)
    shown_low, shown_high = ends(value, unit, digits)
    assert PRINTED.fullmatch(shown_low)
    if value.exact:
        assert shown_low == shown_high
        return
    assert read(shown_low) <= value.low
    if value.high is None:
        assert shown_high is None
    else:
        assert shown_high is not None and read(shown_high) >= value.high
        assert len(shown_low.partition(".")[2]) == len(shown_high.partition(".")[2])


@pytest.mark.parametrize(
    ("name", "unit"),
    [("load_va", "VA"), ("current_a", "A"), ("area_ft2", "ft2"), ("a", ""), ("count", ""), ("share_pct", "pct")],
)
def test_the_unit_stands_at_the_end_of_a_name(name: str, unit: str) -> None:
    assert unit_of_name(name) == unit
