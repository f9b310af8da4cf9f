"""Holes for conduit and fittings by trade size; a matter of the trade, not of a code."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from deadfront.codebook.book import Codebook
from deadfront.errors import OutOfTable
from deadfront.worksheet.cite import Cite

TRADE = "trade practice"  # what a citation names in place of a code


class Knockout(NamedTuple):
    """The hole of one trade size.

    Args:
        least_in: Smallest hole the fitting goes through: the smaller of nominal hole and usual saw [in].
        nominal_in: Nominal diameter [in].
        most_in: Largest that is made for it: the larger of nominal hole and usual saw [in].
        saw_in: Hole saw in common use [in].
        next_in: Smallest hole of the next trade size [in]; None for the largest one.
        row: The row of the table.
        cite: Where it stands.
    """

    least_in: Decimal
    nominal_in: Decimal
    most_in: Decimal
    saw_in: Decimal
    next_in: Decimal | None
    row: str
    cite: Cite


@lru_cache(maxsize=256)
def knockout(book: Codebook, trade_size: str) -> Knockout:
    """The hole for a trade size.

    Raises:
        OutOfTable: no such trade size in the table.
    Example:
        >>> from deadfront.codebook import open_book
        >>> knockout(open_book("2023"), "3/4").nominal_in
        Decimal('1.109')
    """
    table = book.table("knockouts")
    labels = [table.label(row) for row in table.rows]
    if trade_size not in labels:
        raise OutOfTable("codebook.out_of_table", table=table.name, section=table.section, edition=table.edition,
                         found=trade_size, allowed=", ".join(labels))  # fmt: skip
    at = labels.index(trade_size)
    holes = [(Decimal(str(row["hole_in"])), Decimal(str(row["hole_saw_in"]))) for row in table.rows]
    nominal_in, saw_in = holes[at]
    next_in = min(holes[at + 1]) if at + 1 < len(holes) else None
    cite = replace(table.cell_cite(table.rows[at], "hole_in"), edition="", code=TRADE)
    return Knockout(min(holes[at]), nominal_in, max(holes[at]), saw_in, next_in, trade_size, cite)
