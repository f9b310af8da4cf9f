"""Impedance of conductors and of utility transformers out of the code tables; never beyond the printed rows."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import lru_cache
from typing import Literal, NamedTuple

from deadfront.codebook.book import Codebook
from deadfront.codebook.lookup import Found, _by_key, _number, _out
from deadfront.worksheet.cite import Cite

Raceway = Literal["pvc", "aluminum", "steel"]
RACEWAYS: tuple[Raceway, ...] = ("pvc", "aluminum", "steel")
_STANDARD = "IEEE"


class Impedance(NamedTuple):
    """Resistance and reactance of one conductor to neutral [ohm/kft]."""

    resistance: Found[Decimal]
    reactance: Found[Decimal]


class TransformerBand(NamedTuple):
    """Usual impedance [%] and reactance over resistance of a utility transformer, lowest and highest."""

    impedance_low: Found[Decimal]
    impedance_high: Found[Decimal]
    x_over_r_low: Found[Decimal]
    x_over_r_high: Found[Decimal]


def of_standard(cite: Cite) -> Cite:
    """A citation of a standard that is no code book: no edition of the code."""
    return replace(cite, edition="", code=_STANDARD)


@lru_cache(maxsize=1024)
def conductor_impedance(book: Codebook, size: str, metal: str, raceway: Raceway) -> Impedance:
    """Resistance and reactance of a conductor at 60 Hz and 75 C [ohm/kft] (Chapter 9 Table 9).

    Args:
        size: "8", "4/0", "250".
        metal: "copper" or "aluminum".
        raceway: "pvc" (also cable without metal), "aluminum" or "steel".
    Raises:
        OutOfTable: size not printed, or not for that metal.
    Example:
        >>> from deadfront.codebook import open_book
        >>> found = conductor_impedance(open_book("2023"), "4/0", "aluminum", "pvc")
        >>> found.resistance.value, found.reactance.value
        (Decimal('0.1'), Decimal('0.041'))
    """
    table = book.table("conductor_impedance")
    row = _by_key(table, size)
    r, x = f"{metal}_r_{raceway}_ohm_per_kft", f"x_{raceway}_ohm_per_kft"
    if row.get(r) is None:
        printed = [table.label(each) for each in table.rows if each.get(r) is not None]
        raise _out(table, f"{size} {metal}", ", ".join(printed))
    told = f"{size} {metal}, {raceway}"
    return Impedance(Found(_number(row, r), table.cell_cite(row, r), told),
                     Found(_number(row, x), table.cell_cite(row, x), told))  # fmt: skip


@lru_cache(maxsize=512)
def dc_resistance(book: Codebook, size: str, metal: str, construction: str = "stranded") -> Found[Decimal]:
    """Direct-current resistance of a conductor at 75 C [ohm/kft] (Chapter 9 Table 8).

    Args:
        construction: "stranded", or "solid" to size 8.
    Raises:
        OutOfTable: size, metal or construction not printed.
    Example:
        >>> from deadfront.codebook import open_book
        >>> dc_resistance(open_book("2023"), "16", "copper").value
        Decimal('4.99')
    """
    table = book.table("conductor_resistance_dc")
    row = _by_key(table, size, construction)
    column = f"{metal}_ohm_per_kft"
    if row.get(column) is None:
        raise _out(table, f"{size} {metal}", "copper, coated_copper, aluminum")
    return Found(_number(row, column), table.cell_cite(row, column), f"{size} {metal}, {construction}")


@lru_cache(maxsize=64)
def transformer_band(book: Codebook, kva: Decimal) -> TransformerBand:
    """Usual impedance [%] and X/R of a single-phase utility transformer by its rating: a band, from memory.

    Raises:
        OutOfTable: a rating that is not listed.
    """
    table = book.table("transformer_impedance")
    row = next((each for each in table.rows if each["kva"] == kva), None)
    if row is None:
        raise _out(table, f"{kva} kVA", ", ".join(table.label(each) for each in table.rows))

    def found(column: str) -> Found[Decimal]:
        return Found(_number(row, column), of_standard(table.cell_cite(row, column)), f"{kva.normalize():f} kVA")

    return TransformerBand(found("impedance_low_percent"), found("impedance_high_percent"),
                           found("x_over_r_low"), found("x_over_r_high"))  # fmt: skip


@lru_cache(maxsize=16)
def interrupting_ratings(book: Codebook) -> tuple[Decimal, ...]:
    """Interrupting ratings in common use [kA], small to large."""
    return tuple(_number(row, "rating_ka") for row in book.table("interrupting_ratings").rows)
