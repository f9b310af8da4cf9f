"""Rows found in the code tables: the figure, where it stands, and which row it was. Never beyond the printed rows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Generic, TypeVar

from deadfront.codebook.book import Codebook
from deadfront.codebook.entries import Row, Table, weakest
from deadfront.errors import OutOfTable
from deadfront.worksheet.cite import Cite

Figure_ = TypeVar("Figure_")
_VOLTS = ((110, 120, "115"), (200, 200, "200"), (208, 208, "208"), (220, 240, "230"))


@dataclass(frozen=True, slots=True)
class Found(Generic[Figure_]):
    """A figure out of a table, its citation, and the row in words of the table: "10", "26-30: 15000 + 1000 x 28"."""

    value: Figure_
    cite: Cite
    row: str


@dataclass(frozen=True, slots=True)
class RangeRow:
    """The row of the cooking table for a number of appliances: A [%], B [%], C [VA]."""

    a_percent: Found[Decimal]
    b_percent: Found[Decimal]
    c_va: Found[Decimal]


def _out(table: Table, found: object, allowed: str) -> OutOfTable:
    return OutOfTable("codebook.out_of_table", table=table.name, section=table.section, edition=table.edition,
                      found=str(found), allowed=allowed)  # fmt: skip


def _number(row: Row, column: str) -> Decimal:
    cell = row[column]
    return cell if isinstance(cell, Decimal) else Decimal(0)


def _by_count(table: Table, count: int) -> Row:
    low, high = table.key
    for row in table.rows:
        upto = row[high]
        if _number(row, low) <= count and (upto is None or count <= _number(row, high)):
            return row
    raise _out(table, count, f"{table.rows[0][low]}+")


def _by_key(table: Table, *key: str) -> Row:
    wanted = " ".join(key)
    for row in table.rows:
        if table.label(row) == wanted:
            return row
    raise _out(table, wanted, ", ".join(table.label(row) for row in table.rows))


@lru_cache(maxsize=1024)
def range_demand(book: Codebook, count: int) -> RangeRow:
    """Demand on a number of household cooking appliances (Table 220.55).

    Args:
        count: Number of appliances, one or more.
    Returns:
        Column A and B [%] and column C [VA], each with its own citation.
    Raises:
        OutOfTable: no such number.
    Example:
        >>> from deadfront.codebook import open_book
        >>> range_demand(open_book("2023"), 30).c_va.value
        Decimal('45000')
    """
    table = book.table("range_demand")
    row = _by_count(table, count)
    label = table.label(row)
    fixed, each = _number(row, "c_va"), _number(row, "c_each_va")
    told = f"{label}: {fixed} + {each} x {count}" if each else label
    return RangeRow(
        Found(_number(row, "a_percent"), table.cell_cite(row, "a_percent"), label),
        Found(_number(row, "b_percent"), table.cell_cite(row, "b_percent"), label),
        Found(fixed + each * count, table.cell_cite(row, "c_va"), told),
    )


@lru_cache(maxsize=1024)
def dryer_percent(book: Codebook, count: int) -> Found[Decimal]:
    """Demand on a number of household dryers [%] (Table 220.54).

    Raises:
        OutOfTable: fewer than one.
    """
    table = book.table("dryer_demand")
    row = _by_count(table, count)
    label = table.label(row)
    percent, less, over = (_number(row, each) for each in ("percent", "less_each_percent", "over_count"))
    told = f"{label}: {percent} - {less} x ({count} - {over})" if less else label
    return Found(percent - less * (count - over), table.cell_cite(row, "percent"), told)


@lru_cache(maxsize=1024)
def multifamily_percent(book: Codebook, units: int) -> Found[Decimal]:
    """Demand of the optional method for three or more dwelling units [%] (Table 220.84).

    Raises:
        OutOfTable: fewer than three units.
    """
    table = book.table("multifamily_demand")
    row = _by_count(table, units)
    return Found(_number(row, "percent"), table.cell_cite(row, "percent"), table.label(row))


@lru_cache(maxsize=1024)
def motor_current(book: Codebook, hp: str, volts: Decimal) -> Found[Decimal]:
    """Full-load current of a single-phase motor [A] (Table 430.248).

    Args:
        hp: As printed: "1/4", "1-1/2", "3".
        volts: Supply volts: 110 to 120, 200, 208 or 220 to 240.
    Raises:
        OutOfTable: horsepower or volts not in the table.
    """
    table = book.table("motor_current_single_phase")
    row = _by_key(table, hp)
    for low, high, printed in _VOLTS:
        if low <= volts <= high:
            column = f"current_{printed}v_a"
            return Found(_number(row, column), table.cell_cite(row, column), f"{hp} hp, {printed} V")
    raise _out(table, f"{volts} V", "110-120, 200, 208, 220-240 V")


@lru_cache(maxsize=64)
def standard_ratings(book: Codebook) -> tuple[Decimal, ...]:
    """Standard ratings of circuit breakers and fuses [A], small to large; sizes made as fuses only are left out."""
    rows = book.table("standard_ratings").rows
    return tuple(_number(row, "rating_a") for row in rows if row["kind"] == "breaker_or_fuse")


@lru_cache(maxsize=2048)
def ampacity(book: Codebook, size: str, metal: str, celsius: int) -> Found[Decimal]:
    """Ampacity before correction and adjustment [A] (Table 310.16).

    Args:
        size: "8", "4/0", "250".
        metal: "copper" or "aluminum" (also copper-clad).
        celsius: Column: 60, 75 or 90.
    Raises:
        OutOfTable: size, metal or column not in the table.
    """
    table = book.table("conductor_ampacity")
    row = _by_key(table, metal, size)
    column = f"current_{celsius}c_a"
    if column not in table.columns:
        raise _out(table, f"{celsius} C", "60, 75, 90 C")
    return Found(_number(row, column), table.cell_cite(row, column), f"{size} {metal}, {celsius} C")


@lru_cache(maxsize=1024)
def dwelling_rating(book: Codebook, size: str, metal: str) -> Found[Decimal] | None:
    """Largest whole-dwelling service or feeder a conductor may serve by the 83 percent rule [A], or None.

    For conductors that need no correction or adjustment; 75 C column.

    Raises:
        OutOfTable: size or metal not in the ampacity table.
    Example:
        >>> from deadfront.codebook import open_book
        >>> dwelling_rating(open_book("2023"), "4/0", "aluminum").value
        Decimal('200')
    """
    percent = book.value("service_conductor_percent")
    carried = ampacity(book, size, metal, 75)
    fit = [rating_a for rating_a in _dwelling_ratings(book) if rating_a * percent.number <= carried.value * 100]
    return Found(max(fit), _no_better(percent.cite, carried.cite), f"{size} {metal}") if fit else None


@lru_cache(maxsize=1024)
def dwelling_size(book: Codebook, rating_a: Decimal, metal: str) -> Found[str]:
    """Smallest conductor for a whole-dwelling service or feeder of that rating (Table 310.12).

    For conductors that need no correction or adjustment. Where an amendment sets another percent, the printed
    table no longer holds and the size comes from that percent and the 75 C column.

    Raises:
        OutOfTable: rating or metal not in the table.
    """
    table = book.table("dwelling_service_conductors")
    row = _by_key(table, str(rating_a))
    if metal not in ("copper", "aluminum") or rating_a not in _dwelling_ratings(book):
        raise _out(table, f"{rating_a} A, {metal}", "copper, aluminum")
    percent = book.value("service_conductor_percent")
    if percent.amended_by is None:
        return Found(str(row[metal]), table.cell_cite(row, metal), f"{rating_a} A, {metal}")
    sizes = [each for each in book.table("conductor_ampacity").rows if each["metal"] == metal]
    fit = [each for each in sizes if rating_a * percent.number <= _number(each, "current_75c_a") * 100]
    if not fit:
        raise _out(table, f"{rating_a} A, {metal}", f"{sizes[-1]['size']}")
    size = str(fit[0]["size"])
    return Found(size, _no_better(percent.cite, ampacity(book, size, metal, 75).cite), f"{rating_a} A, {metal}")


def _no_better(cite: Cite, than: Cite) -> Cite:
    return replace(cite, status=weakest(cite.status, than.status))


def _dwelling_ratings(book: Codebook) -> list[Decimal]:
    low = book.value("service_conductor_from_a").number
    high = book.value("service_conductor_upto_a").number
    ratings = [_number(row, "rating_a") for row in book.table("dwelling_service_conductors").rows]
    return [rating_a for rating_a in ratings if low <= rating_a <= high]
