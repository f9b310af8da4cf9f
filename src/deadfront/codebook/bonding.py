"""Grounding and bonding conductors in the code tables: by the area of the ungrounded conductors. Never beyond a row."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from deadfront.codebook.book import Codebook
from deadfront.codebook.entries import Row, Table
from deadfront.codebook.lookup import Found
from deadfront.errors import OutOfTable

METALS = ("copper", "aluminum")


def _out(table: Table, found: object, allowed: str) -> OutOfTable:
    return OutOfTable("codebook.out_of_table", table=table.name, section=table.section, edition=table.edition,
                      found=str(found), allowed=allowed)  # fmt: skip


@lru_cache(maxsize=1024)
def electrode_conductor(book: Codebook, area_cmil: Decimal, metal: str, of_metal: str) -> Found[str]:
    """Smallest grounding electrode conductor for ungrounded conductors of that area.

    Args:
        area_cmil: Area of one ungrounded conductor, of all its sets together [cmil].
        metal: Metal of the ungrounded conductors.
        of_metal: Metal of the electrode conductor.
    Raises:
        OutOfTable: a metal that is not in the table.
    Example:
        >>> from deadfront.codebook import open_book
        >>> electrode_conductor(open_book("2023"), Decimal(350_000), "copper", "copper").value
        '2'
    """
    table = book.table("electrode_conductor")
    found = _row_for(table, area_cmil, metal, of_metal)
    if found is None:
        raise _out(table, f"{metal}, {of_metal}", ", ".join(METALS))
    return found


@lru_cache(maxsize=1024)
def bonding_jumper(book: Codebook, area_cmil: Decimal, metal: str, of_metal: str) -> Found[str] | None:
    """Smallest jumper or grounded conductor by the table; None above its last row, where a percent of the area counts.

    Args: as in `electrode_conductor`.

    Raises:
        OutOfTable: a metal that is not in the table.
    """
    table = book.table("bonding_jumper")
    if metal not in METALS or of_metal not in METALS:
        raise _out(table, f"{metal}, {of_metal}", ", ".join(METALS))
    return _row_for(table, area_cmil, metal, of_metal)


@lru_cache(maxsize=64)
def electrode_cap(book: Codebook, electrode: str, of_metal: str) -> Found[str] | None:
    """Size that a conductor to such an electrode alone need not exceed; None where no cap is printed."""
    table = book.table("electrode_conductor_cap")
    for row in table.rows:
        if row["electrode"] == electrode and row.get(of_metal) is not None:
            return Found(str(row[of_metal]), table.cell_cite(row, of_metal), f"{electrode}, {of_metal}")
    return None


def _row_for(table: Table, area_cmil: Decimal, metal: str, of_metal: str) -> Found[str] | None:
    before = Decimal(0)
    for row in table.rows:
        if row["metal"] != metal or of_metal not in METALS:
            continue
        upto = row["area_upto_cmil"]
        if upto is None or area_cmil <= Decimal(upto):
            return Found(str(row[of_metal]), table.cell_cite(row, of_metal), _told(row, before, of_metal))
        before = Decimal(upto)
    return None


def _told(row: Row, before: Decimal, of_metal: str) -> str:
    upto = row["area_upto_cmil"]
    span = f"> {before} cmil" if upto is None else f"<= {upto} cmil"
    return f"{row['metal']} {span}: {row[of_metal]} {of_metal}"
