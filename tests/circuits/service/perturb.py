"""Every cell of the grounding tables changed by one size, one at a time: which printed case, or which law, notices?

Laws: an aluminum conductor carries what the copper one beside it does (area over conductivity), and so do the limits of
rows that ask for the same; the two tables have the same rows as far as both go. The reference took one table's rows
from the other, so each cell is also changed in both.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from deadfront.codebook import Codebook, open_book
from deadfront.codebook.bonding import bonding_jumper, electrode_conductor
from deadfront.codebook.conductors import area_cmil, sizes_of
from deadfront.codebook.entries import Row, Table
from deadfront.quantities import SIZES

BOTH = "both tables alike"
CELLS = {
    "electrode_conductor": ("area_upto_cmil", "copper", "aluminum"),
    "bonding_jumper": ("area_upto_cmil", "copper", "aluminum"),
    "electrode_conductor_cap": ("copper", "aluminum"),
    BOTH: ("area_upto_cmil", "copper", "aluminum"),
}
# Area of aluminum over area of copper, beside each other: near 1 over 0.61, the conductivity of aluminum in copper's.
# The wire gauge goes two numbers at a time (1.59); 250 kcmil beside 3/0 is 1.49.
RATIO = (Decimal("1.45"), Decimal("1.75"))
LIMITS = (Decimal("1.42"), Decimal("1.66"))  # the same of the limits of rows that ask for the same conductor
# Printed: code quiz 106 of a trade magazine (GEC-01); two values of the other table on a trade forum.
PRINTED = (
    ("electrode_conductor", "350", "2"), ("bonding_jumper", "250", "2"), ("bonding_jumper", "750", "2/0"),
)  # fmt: skip


@dataclass(frozen=True)
class Changed:
    """One cell changed: where, and the book that holds it."""

    table: str
    index: int
    column: str
    book: Codebook

    @property
    def row(self) -> Row:
        """The row as changed."""
        return self.book.table(self.table).rows[self.index]

    @property
    def name(self) -> str:
        """The cell in words."""
        table = open_book(self.book.edition).table(self.table)
        return f"{table.label(table.rows[self.index]).strip() or 'last'} {self.column}"


def changed_books(edition: str, name: str) -> Iterator[Changed]:
    """The book of an edition, once for every cell of a table, that cell one size larger, then one smaller."""
    book = open_book(edition)
    first = "bonding_jumper" if name == BOTH else name
    for row in book.table(first).rows:
        for column in CELLS[name]:
            for step in (1, -1) if row[column] is not None else ():
                other = _beside(book, row[column], step)
                names = ("bonding_jumper", "electrode_conductor") if name == BOTH else (name,)
                tables = {**book._tables, **{each: _with(book.table(each), row, column, other) for each in names}}
                index = book.table(first).rows.index(row)
                digest = f"{name}{index}{column}{step}"
                yield Changed(first, index, column, replace(book, _tables=tables, digest=digest))


def _with(table: Table, row: Row, column: str, other: Decimal | str) -> Table:
    """A table with one cell of its like of a row changed."""
    rows = tuple({**each, column: other} if dict(each) == dict(row) else each for each in table.rows)
    return replace(table, rows=rows)


def _beside(book: Codebook, cell: Decimal | str | None, step: int) -> Decimal | str:
    """The next size up or down; of a limit, the next area of a conductor that is listed."""
    if isinstance(cell, str):
        return SIZES[SIZES.index(cell) + step]
    assert cell is not None
    areas = [area_cmil(book, size).value for size in sizes_of(book, "copper")]
    return min(a for a in areas if a > cell) if step == 1 else max(a for a in areas if a < cell)


def printed_notices(book: Codebook) -> bool:
    """Whether a printed value does not come out by that book."""
    for table, size, right in PRINTED:
        look_up = electrode_conductor if table == "electrode_conductor" else bonding_jumper
        found = look_up(book, Decimal(size) * 1000, "copper", "copper")
        if found is None or found.value != right:
            return True
    return False


def law_notices(changed: Changed) -> bool:
    """Whether a law says that the changed cell is wrong."""
    book, row = changed.book, changed.row
    copper, aluminum = row["copper"], row["aluminum"]
    if copper is not None and aluminum is not None:
        ratio = area_cmil(book, str(aluminum)).value / area_cmil(book, str(copper)).value
        if not RATIO[0] <= ratio <= RATIO[1]:
            return True
    if changed.table == "electrode_conductor_cap":
        return False
    if not _limits_alike(book.table(changed.table)):
        return True
    ours = [dict(each) for each in book.table("electrode_conductor").rows if each["area_upto_cmil"] is not None]
    return ours != [dict(each) for each in book.table("bonding_jumper").rows]


def _limits_alike(table: Table) -> bool:
    """Whether the limits for copper and for aluminum services belong to conductors that carry alike, row by row."""
    by_metal = {m: [r["area_upto_cmil"] for r in table.rows if r["metal"] == m] for m in ("copper", "aluminum")}
    pairs = zip(by_metal["copper"], by_metal["aluminum"], strict=True)
    return all(LIMITS[0] <= a / c <= LIMITS[1] for c, a in pairs if isinstance(c, Decimal) and isinstance(a, Decimal))


@dataclass(frozen=True)
class Caught:
    """How many changed cells of a table were noticed, and by whom."""

    table: str
    changes: int
    printed: int
    law: int
    unseen: tuple[str, ...]

    def line(self) -> str:
        """One row of the study's table."""
        either = self.changes - len(self.unseen)
        share = f"{either} ({100 * either // self.changes} %)"
        return f"| {self.table} | {self.changes} | {self.printed} | {self.law} | {share} |"


def caught(edition: str) -> list[Caught]:
    """All cells of an edition, each changed alone, by table."""
    found = []
    for table in CELLS:
        changes = printed = law = 0
        unseen: list[str] = []
        for changed in changed_books(edition, table):
            by_print, by_law = printed_notices(changed.book), law_notices(changed)
            changes, printed, law = changes + 1, printed + by_print, law + by_law
            if not (by_print or by_law):
                unseen.append(changed.name)
        found.append(Caught(table, changes, printed, law, tuple(dict.fromkeys(unseen))))
    return found
