"""Raceways, boxes and motors in the code tables. Never beyond a printed row."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from deadfront.codebook.book import Codebook
from deadfront.codebook.entries import Row, Table
from deadfront.codebook.lookup import Found
from deadfront.errors import OutOfTable


def _by_key(table: Table, *key: str) -> Row:
    for row in table.rows:
        if tuple(row[column] for column in table.key) == key:
            return row
    allowed = [table.label(row) for row in table.rows if len(key) == 1 or row[table.key[0]] == key[0]]
    raise OutOfTable("codebook.out_of_table", table=table.name, section=table.section, edition=table.edition,
                     found=" ".join(key), allowed=", ".join(allowed) or ", ".join(_firsts(table)))  # fmt: skip


def _firsts(table: Table) -> list[str]:
    return list(dict.fromkeys(str(row[table.key[0]]) for row in table.rows))


def _cell(table: Table, row: Row, column: str) -> Found[Decimal]:
    cell = row[column]
    return Found(cell if isinstance(cell, Decimal) else Decimal(0), table.cell_cite(row, column), table.label(row))


@lru_cache(maxsize=256)
def fill_percent(book: Codebook, wires: int) -> Found[Decimal]:
    """Largest share of a raceway that so many conductors may fill [%]."""
    table = book.table("raceway_fill")
    row = next(row for row in table.rows if row["wires_max"] is None or wires <= (row["wires_max"] or 0))  # type: ignore[operator]
    return _cell(table, row, "percent")


@lru_cache(maxsize=512)
def raceway_area(book: Codebook, kind: str, trade_size: str) -> Found[Decimal]:
    """Whole inside area of a raceway [in2] (Chapter 9, Table 4).

    Raises:
        OutOfTable: no such kind or trade size.
    """
    table = book.table("raceway_area")
    return _cell(table, _by_key(table, kind, trade_size), "area_in2")


@lru_cache(maxsize=512)
def conductor_area(book: Codebook, insulation: str, size: str) -> Found[Decimal]:
    """Area of an insulated conductor [in2] (Chapter 9, Table 5).

    Raises:
        OutOfTable: no such insulation or size.
    """
    table = book.table("conductor_area")
    return _cell(table, _by_key(table, insulation, size), "area_in2")


@lru_cache(maxsize=64)
def trade_sizes(book: Codebook, kind: str) -> tuple[str, ...]:
    """Trade sizes of a kind of raceway, small to large."""
    return tuple(str(row["trade_size"]) for row in book.table("raceway_area").rows if row["kind"] == kind)


@lru_cache(maxsize=256)
def conductor_volume(book: Codebook, size: str) -> Found[Decimal]:
    """Volume that one conductor needs in a box [in3] (Table 314.16(B)).

    Raises:
        OutOfTable: larger than 6 AWG, or smaller than 18.
    """
    table = book.table("box_conductor_volume")
    return _cell(table, _by_key(table, size), "volume_in3")


@lru_cache(maxsize=256)
def box_volume(book: Codebook, standard: str) -> Found[Decimal]:
    """Least volume of a standard metal box [in3] (Table 314.16(A)), such as "square 4 x 1-1/2".

    Raises:
        OutOfTable: no such box.
    """
    table = book.table("box_volume")
    for row in table.rows:
        if table.label(row).lower() == " ".join(standard.lower().split()):
            return _cell(table, row, "volume_in3")
    return _cell(table, _by_key(table, standard), "volume_in3")


@lru_cache(maxsize=64)
def motor_breaker_percent(book: Codebook, motor: str = "single_phase") -> Found[Decimal]:
    """Largest inverse-time breaker of a motor, in percent of its full-load current (Table 430.52)."""
    table = book.table("motor_protection_percent")
    return _cell(table, _by_key(table, motor), "breaker_percent")


@lru_cache(maxsize=64)
def code_letter(book: Codebook, letter: str) -> tuple[Found[Decimal], Found[Decimal] | None]:
    """Least and most locked-rotor kVA for each horsepower by code letter (Table 430.7(B)); V has no upper end.

    Raises:
        OutOfTable: no such letter.
    """
    table = book.table("motor_code_letter")
    row = _by_key(table, letter)
    most = None if row["kva_hp_max"] is None else _cell(table, row, "kva_hp_max")
    return _cell(table, row, "kva_hp_min"), most
