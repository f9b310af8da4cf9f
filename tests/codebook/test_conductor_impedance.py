"""Resistance and reactance of conductors: order, ends of the table, and outside figures that every cell must fit."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from deadfront.codebook import EDITIONS, open_book
from deadfront.codebook.impedance import (
    RACEWAYS,
    conductor_impedance,
    dc_resistance,
    interrupting_ratings,
    transformer_band,
)
from deadfront.errors import OutOfTable
from deadfront.quantities import SIZES
from tests.oracle.conductor_figures import doubts_of_impedance, doubts_of_resistance, last_digit

BOOK = open_book("2023")


def rows(name: str) -> list[dict[str, Any]]:
    return [dict(row) for row in BOOK.table(name).rows]


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_edition_has_them(edition: str) -> None:
    book = open_book(edition)
    assert conductor_impedance(book, "4/0", "aluminum", "pvc").resistance.value == Decimal("0.10")
    assert dc_resistance(book, "12", "copper").value == Decimal("1.98")
    assert transformer_band(book, Decimal("37.5")).impedance_high.value == 3


@pytest.mark.parametrize("metal", ["copper", "aluminum"])
@pytest.mark.parametrize("raceway", RACEWAYS)
def test_resistance_falls_with_size_and_steel_never_has_less_reactance(metal: str, raceway: Any) -> None:
    printed = [row["size"] for row in rows("conductor_impedance") if row[f"{metal}_r_{raceway}_ohm_per_kft"]]
    assert printed == sorted(printed, key=SIZES.index) and len(printed) >= 20
    found = [conductor_impedance(BOOK, size, metal, raceway) for size in printed]
    values = [each.resistance.value for each in found]
    assert values == sorted(values, reverse=True) and len(set(values)) == len(values)
    for size in printed:
        steel = conductor_impedance(BOOK, size, metal, "steel").reactance.value
        assert steel >= conductor_impedance(BOOK, size, metal, raceway).reactance.value


def test_no_alternating_resistance_is_below_that_of_direct_current() -> None:
    """Independent: skin and proximity only add; Table 8 stranded, less what rounding to two digits takes."""
    for row in rows("conductor_impedance"):
        for metal in ("copper", "aluminum"):
            for raceway in RACEWAYS:
                r = row[f"{metal}_r_{raceway}_ohm_per_kft"]
                if r is not None:
                    half_digit = Decimal(str(last_digit(r))) / 2
                    assert r + half_digit >= dc_resistance(BOOK, row["size"], metal).value, (row["size"], metal)


def test_the_printed_effective_impedance_doubts_no_cell() -> None:
    """Independent: the table's own column of effective impedance at 0.85, which the program does not use."""
    assert list(doubts_of_impedance(rows("conductor_impedance"))) == []


def test_resistance_times_area_is_the_constant_of_the_metal() -> None:
    assert list(doubts_of_resistance(rows("conductor_resistance_dc"))) == []


def test_solid_never_has_more_resistance_than_stranded() -> None:
    for size in ("18", "16", "14", "12", "10", "8"):
        for metal in ("copper", "aluminum"):
            assert dc_resistance(BOOK, size, metal, "solid").value < dc_resistance(BOOK, size, metal).value


def test_what_is_not_printed_is_refused() -> None:
    for size, metal in (("18", "copper"), ("14", "aluminum"), ("700", "copper"), ("2000", "aluminum")):
        with pytest.raises(OutOfTable) as refused:
            conductor_impedance(BOOK, size, metal, "pvc")
        assert "4/0" in str(refused.value.msg.params["allowed"])
    with pytest.raises(OutOfTable):
        dc_resistance(BOOK, "6", "copper", "solid")
    with pytest.raises(OutOfTable):
        transformer_band(BOOK, Decimal(51))


def test_transformer_bands_are_in_order_and_marked() -> None:
    for row in rows("transformer_impedance"):
        band = transformer_band(BOOK, row["kva"])
        assert 0 < band.impedance_low.value < band.impedance_high.value <= 5
        assert 0 < band.x_over_r_low.value < band.x_over_r_high.value <= 5
        assert band.impedance_low.cite.marked and band.impedance_low.cite.code == "IEEE"


def test_interrupting_ratings_rise() -> None:
    found = interrupting_ratings(BOOK)
    assert list(found) == sorted(found) and {Decimal(10), Decimal(22), Decimal(65)} <= set(found)
