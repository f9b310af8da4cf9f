"""What is typed is kept, understood with its unit, and never corrected in silence."""

from __future__ import annotations

from decimal import Decimal

import pytest

from deadfront.commissioning.rules.reading import Asked, understood
from deadfront.quantities import typed

VOLTS = Asked("l1_n", "V", high=Decimal(700), repeats=True)
OHMS = Asked("n_g_ohm", "ohm", high=Decimal(10) ** 12)
MEGOHMS = Asked("l_g_mohm", "Mohm", high=Decimal(10) ** 7)


@pytest.mark.parametrize(
    ("asked", "typed", "value"),
    [
        (VOLTS, "121.3", "121.3"), (VOLTS, "121.3 V", "121.3"), (VOLTS, "0.1213 kV", "121.3"), (VOLTS, "90 mV", "0.09"),
        (OHMS, "0.2", "0.2"), (OHMS, "200 mΩ", "0.2"), (OHMS, "200 mohm", "0.2"), (OHMS, "1.5 M", "1500000"),
        (OHMS, "2 Mohm", "2000000"), (MEGOHMS, "550", "550"), (MEGOHMS, "2.2 G", "2200"), (MEGOHMS, "800 kΩ", "0.8"),
        (MEGOHMS, "2 M\u2126", "2"),
    ],
)  # fmt: skip
def test_units_as_typed(asked: Asked, typed: str, value: str) -> None:
    read = understood(asked, typed)
    assert (read.values, read.trouble, read.typed) == ((Decimal(value),), "", typed)


def test_a_milliohm_is_no_megohm() -> None:
    assert understood(OHMS, "5 mohm").values[0] == Decimal("0.005")
    assert understood(OHMS, "5 Mohm").values[0] == Decimal(5_000_000)
    assert understood(MEGOHMS, "5 mohm").trouble == "unit"


def test_repeats_and_the_last_digit() -> None:
    read = understood(VOLTS, "121.3 121.2;121.4".replace(";", " "))
    assert read.values == (Decimal("121.3"), Decimal("121.2"), Decimal("121.4"))
    assert read.half == Decimal("0.05")
    assert understood(VOLTS, "121.3 V; 121.2 V").values == (Decimal("121.3"), Decimal("121.2"))


@pytest.mark.parametrize(
    ("asked", "typed", "trouble"),
    [(VOLTS, "121.3 A", "unit"), (VOLTS, "about 120", "number"), (VOLTS, "12100", "impossible"),
     (VOLTS, "-5", "impossible"), (VOLTS, "OL", "beyond"), (VOLTS, ">600", "beyond"), (MEGOHMS, "0,05", "number"),
     (OHMS, "999,9", "number"),
     (OHMS, "1 2", "number"), (VOLTS, " ".join(["120"] * 21), "repeats"), (Asked("p", kind="yes"), "maybe", "choice"),
     (Asked("l", kind="choice", choices=("L1", "L2")), "L3", "choice")],
)  # fmt: skip
def test_what_cannot_be_is_said_and_kept(asked: Asked, typed: str, trouble: str) -> None:
    read = understood(asked, typed)
    assert (read.trouble, read.typed, read.known) == (trouble, typed, False)


def test_beyond_the_range() -> None:
    assert understood(MEGOHMS, "OL").above
    assert understood(MEGOHMS, "OL").values == ()
    read = understood(MEGOHMS, ">2000")
    assert (read.above, read.values) == (True, (Decimal(2000),))


def test_a_comma_parts_thousands_only_wherever_a_quantity_is_typed() -> None:
    assert typed("1,840 sq ft", "ft2") == Decimal(1840)
    assert typed("12,000 W", "VA") == Decimal(12000)
    for text in ("1,5 kW", "0,5 A", "12,00 W", "1,2345 W"):
        with pytest.raises(ValueError, match=text):
            typed(text, "VA" if "W" in text else "A")
