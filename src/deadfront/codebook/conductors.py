"""Conductors in the code tables: their insulation, correction, bundling, protection, ground. Never beyond a row."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from deadfront.codebook.book import Codebook
from deadfront.codebook.entries import Row, Table
from deadfront.codebook.lookup import Found
from deadfront.errors import OutOfTable
from deadfront.quantities import SIZES

COLUMNS = (60, 75, 90)


def _out(table: Table, found: object, allowed: str) -> OutOfTable:
    return OutOfTable("codebook.out_of_table", table=table.name, section=table.section, edition=table.edition,
                      found=str(found), allowed=allowed)  # fmt: skip


def _number(row: Row, column: str) -> Decimal:
    cell = row[column]
    return cell if isinstance(cell, Decimal) else Decimal(0)


def _first_upto(table: Table, column: str, amount: Decimal) -> Row:
    """The first row whose upper limit is not passed; an empty limit has no end."""
    for row in table.rows:
        if row[column] is None or amount <= _number(row, column):
            return row
    raise _out(table, amount, f"0-{table.rows[-1][column]}")


@lru_cache(maxsize=2048)
def ambient_factor(book: Codebook, ambient_c: Decimal, insulation_c: int) -> Found[Decimal]:
    """Correction of ampacity for the air around the conductors (factors based on 30 C).

    Args:
        ambient_c: Air around them [C]; between two rows the hotter one is taken.
        insulation_c: Temperature of the insulation: 60, 75 or 90.
    Raises:
        OutOfTable: hotter than the last row, or than that insulation may be used in.
    Example:
        >>> from deadfront.codebook import open_book
        >>> ambient_factor(open_book("2023"), Decimal(40), 90).value
        Decimal('0.91')
    """
    table = book.table("ambient_correction")
    row = _first_upto(table, "celsius_max", ambient_c)
    column = f"factor_{insulation_c}c"
    if insulation_c not in COLUMNS or row[column] is None:
        allowed = [f"{each['celsius_max']} C" for each in table.rows if each.get(column) is not None]
        raise _out(table, f"{ambient_c} C", allowed[-1] if allowed else "60, 75, 90 C")
    return Found(_number(row, column), table.cell_cite(row, column), f"{table.label(row)} C, {insulation_c} C")


@lru_cache(maxsize=1024)
def bundling_percent(book: Codebook, count: int) -> Found[Decimal] | None:
    """Adjustment of ampacity for so many current-carrying conductors together [%]; None for up to three."""
    table = book.table("bundling_adjustment")
    if count < _number(table.rows[0], "conductors_min"):
        return None
    row = _first_upto(table, "conductors_max", Decimal(count))
    return Found(_number(row, "percent"), table.cell_cite(row, "percent"), table.label(row))


@lru_cache(maxsize=256)
def roof_adder(book: Codebook, height_in: Decimal) -> Found[Decimal] | None:
    """Degrees to add for a raceway or cable in the sun on a roof [C]; None where it is high enough above it."""
    table = book.table("roof_adder")
    for row in table.rows:
        if height_in <= _number(row, "height_upto_in"):
            return Found(_number(row, "adder_c"), table.cell_cite(row, "adder_c"), table.label(row))
    return None


@lru_cache(maxsize=1024)
def small_conductor_rating(book: Codebook, size: str, metal: str) -> Found[Decimal] | None:
    """Largest overcurrent device of a small conductor [A]; None for sizes the rule does not name."""
    table = book.table("small_conductor_protection")
    for row in table.rows:
        if (row["metal"], row["size"]) == (metal, size):
            return Found(_number(row, "rating_a"), table.cell_cite(row, "rating_a"), table.label(row))
    return None


@lru_cache(maxsize=1024)
def grounding_size(book: Codebook, rating_a: Decimal, metal: str) -> Found[str]:
    """Smallest equipment grounding conductor behind an overcurrent device.

    Raises:
        OutOfTable: a rating above the table, or a metal that is not in it.
    """
    table = book.table("equipment_grounding_conductor")
    row = _first_upto(table, "rating_upto_a", rating_a)
    if metal not in ("copper", "aluminum"):
        raise _out(table, metal, "copper, aluminum")
    return Found(str(row[metal]), table.cell_cite(row, metal), f"{row['rating_upto_a']} A, {metal}")


@lru_cache(maxsize=1024)
def area_cmil(book: Codebook, size: str) -> Found[Decimal]:
    """Area of a conductor [cmil].

    Raises:
        OutOfTable: not in the ampacity table.
    """
    table = book.table("conductor_ampacity")
    for row in table.rows:
        if row["size"] == size:
            return Found(_number(row, "area_cmil"), table.cell_cite(row, "area_cmil"), size)
    raise _out(table, size, f"{table.rows[0]['size']}-{table.rows[-1]['size']}")


@lru_cache(maxsize=64)
def sizes_of(book: Codebook, metal: str) -> tuple[str, ...]:
    """Sizes of that metal with an ampacity, small to large."""
    return tuple(str(row["size"]) for row in book.table("conductor_ampacity").rows if row["metal"] == metal)


@lru_cache(maxsize=1024)
def size_of_area(book: Codebook, cmil: Decimal) -> str | None:
    """The smallest size with at least that area; None above the largest."""
    known = sizes_of(book, "copper")
    return next((size for size in SIZES if size in known and area_cmil(book, size).value >= cmil), None)


@lru_cache(maxsize=1024)
def insulation_of(book: Codebook, kind: str) -> Row:
    """Insulation and limits of a cable or conductor type as it is written on its jacket: "NM-B", "THWN-2 in EMT".

    Raises:
        OutOfTable: no type of that name.
    """
    table = book.table("cable_temperature")
    written = _plain(kind)
    by_length = sorted(table.rows, key=lambda row: -len(str(row["type"])))
    for row in by_length:
        if _plain(str(row["type"])) in _words(written):
            return row
    raise _out(table, kind, ", ".join(str(row["type"]) for row in table.rows))


KNOB = re.compile(r"\bK\s*(&|\+|-|/|AND)?\s*T\b|\bKNOB\s*(-|&|\+)\s*(AND\s*(-\s*)?)?TUBE")  # as it is written


def _plain(kind: str) -> str:
    upper = KNOB.sub("KNOB AND TUBE", kind.upper())
    return " ".join(upper.replace("/", " / ").replace(",", " ").replace("(", " ").replace(")", " ").split())


def _words(written: str) -> set[str]:
    """The words of a type, neighbors also joined, so that "KNOB AND TUBE" and "SE-R" are found."""
    parts = written.split()
    joined = {" ".join(parts[i:j]) for i in range(len(parts)) for j in range(i + 1, min(len(parts), i + 3) + 1)}
    return joined | {each.replace("SE-", "SE") for each in joined}


@lru_cache(maxsize=256)
def bare_area(book: Codebook, size: str) -> Found[Decimal]:
    """Area that a bare conductor takes in a raceway [in2], stranded where it is made so (Chapter 9, Table 8).

    Raises:
        OutOfTable: no such size.
    """
    table = book.table("conductor_resistance_dc")
    fit = [row for row in table.rows if row["size"] == size]
    if not fit:
        raise _out(table, size, f"{table.rows[0]['size']}-{table.rows[-1]['size']}")
    row = max(fit, key=lambda each: _number(each, "area_in2"))
    return Found(_number(row, "area_in2"), table.cell_cite(row, "area_in2"), table.label(row))
