"""What the code book hands out: Values, Tables and Rules of one edition."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from deadfront.worksheet.cite import Cite, Status

Figure = Decimal | bool | str
Cell = Decimal | str | None
Row = Mapping[str, Cell]
FROM_MEMORY = "M"  # source key of what no source was found for
_RANK: dict[Status, int] = {"verified": 0, "partly": 1, "memory": 2}


def weakest(*statuses: Status) -> Status:
    """The least supported of several statuses."""
    return max(statuses, key=_RANK.__getitem__)


@dataclass(frozen=True, slots=True)
class Value:
    """One figure of the code, in its unit ("VA", "VA/ft2", "A", "V", "%", "hp" or none)."""

    name: str
    value: Figure
    unit: str
    section: str
    edition: str
    status: Status
    source: str
    amended_by: str | None = None
    confirmed_by: str | None = None

    @property
    def cite(self) -> Cite:
        """Where the figure stands: the code, or the amendment that set it."""
        code = self.amended_by or "NEC"
        return Cite(self.section, self.edition, code, self.status, self.source, self.confirmed_by)

    @property
    def number(self) -> Decimal:
        """The figure as a number.

        Raises:
            TypeError: the value is a word or yes/no.
        """
        if not isinstance(self.value, Decimal):
            raise TypeError(f"{self.name} is not a number")
        return self.value


@dataclass(frozen=True, slots=True)
class Table:
    """One printed table: rows of columns, with the support of each row and cell.

    Args:
        key: Columns that name a row.
        statuses: For each row, its status by column; "" stands for the whole row.
        confirmed: "name, date" by row label and column, from a license holder's overlay.
    """

    name: str
    about: str
    unit: str
    section: str
    edition: str
    status: Status
    source: str
    key: tuple[str, ...]
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    statuses: tuple[Mapping[str, Status], ...]
    confirmed: Mapping[tuple[str, str], str]

    @property
    def cite(self) -> Cite:
        """Where the table stands, with the status of the table as a whole."""
        return Cite(self.section, self.edition, "NEC", self.status, self.source)

    def label(self, row: Row) -> str:
        """How a row is named: "26-30", "61+", "copper 4/0", "1-1/2"."""
        parts = ["" if row[column] is None else f"{row[column]}" for column in self.key]
        if len(parts) == 2 and self.key[1].endswith(("_max", "_upto_va")):
            low, high = parts
            return f"{low}+" if not high else low if low == high else f"{low}-{high}"
        return " ".join(parts)

    def cell_status(self, row: Row, column: str) -> Status:
        """How well one cell is supported in this edition."""
        of_row = self.statuses[self.rows.index(row)]
        return weakest(self.status, of_row.get(column, of_row.get("", "verified")))

    def row_status(self, row: Row) -> Status:
        """The least supported cell of a row."""
        return weakest(self.status, *self.statuses[self.rows.index(row)].values())

    def cell_cite(self, row: Row, column: str) -> Cite:
        """Where one cell stands, with its own status and confirmation."""
        confirmed_by = self.confirmed.get((self.label(row), column))
        status = self.cell_status(row, column)
        source = FROM_MEMORY if status == "memory" else self.source
        return Cite(self.section, self.edition, "NEC", status, source, confirmed_by)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule by subject: its small data, and the names of its readings where they are disputed."""

    subject: str
    section: str
    edition: str
    status: Status
    source: str
    params: Mapping[str, Decimal | bool | str | tuple[Decimal | str, ...]]
    readings: tuple[str, ...] = ()

    @property
    def cite(self) -> Cite:
        """Where the rule stands."""
        return Cite(self.section, self.edition, "NEC", self.status, self.source)
