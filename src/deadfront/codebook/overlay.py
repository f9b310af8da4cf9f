"""A license holder's own confirmations: values compared with the printed book, so that the mark falls away.

    holder = "R. Alvarez"
    license = "ME-1042"
    date = 2026-05-12

    [[confirmed]]
    name = "optional_heat_few_percent"
    edition = "2023"
    value = 65

    [[confirmed]]
    name = "dryer_demand"
    edition = "2023"
    row = "6"
    column = "percent"
    value = 75

A confirmation that differs from ours is refused: nothing here changes a figure.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from deadfront.codebook.data_files import coverage_of, data
from deadfront.codebook.editions import EDITIONS
from deadfront.codebook.entries import Figure
from deadfront.codebook.reading import read_table, read_value
from deadfront.codebook.written import bad, figure_at, list_at, one_of, read_toml, table_at, words_at
from deadfront.errors import JobUnreadable


@dataclass(frozen=True, slots=True)
class Confirmation:
    """One figure a license holder compared with the book; row and column are empty for a plain value."""

    name: str
    edition: str
    value: Figure
    row: str = ""
    column: str = ""


@dataclass(frozen=True, slots=True)
class Overlay:
    """All confirmations of one license holder on one date."""

    holder: str
    license_number: str
    date: str
    confirmed: tuple[Confirmation, ...]

    def confirmed_in(self, edition: str) -> Mapping[tuple[str, str, str], str]:
        """Holder and date by name, row and column, for one edition."""
        who = f"{self.holder}, {self.date}"
        return {(each.name, each.row, each.column): who for each in self.confirmed if each.edition == edition}


def read_overlay(text: str, file: str = "confirmations") -> Overlay:
    """The confirmations written in a TOML text.

    Raises:
        JobUnreadable: not TOML, an entry the code book does not know, or a value that differs from ours.
    """
    parts = table_at(read_toml(text, file), file, "", ("holder", "license", "date", "confirmed"))
    holder = words_at(parts.get("holder"), file, "holder")
    number = words_at(parts.get("license"), file, "license")
    date = parts.get("date")
    if not isinstance(date, datetime.date) or isinstance(date, datetime.datetime):
        raise bad(file, "date", date, "2026-05-12")
    entries = list_at(parts.get("confirmed"), file, "confirmed")
    confirmed = tuple(_confirmation(each, file, f"confirmed {n}") for n, each in enumerate(entries, 1))
    return Overlay(holder, number, date.isoformat(), confirmed)


def overlay_as_dict(overlay: Overlay) -> dict[str, object]:
    """The overlay as plain data, for the digest and for an archive."""
    entries = [[each.name, each.edition, each.row, each.column, str(each.value)] for each in overlay.confirmed]
    return {"holder": overlay.holder, "license": overlay.license_number, "date": overlay.date, "confirmed": entries}


def _confirmation(written: object, file: str, where: str) -> Confirmation:
    parts = table_at(written, file, where, ("name", "edition", "row", "column", "value"))
    names = (*sorted(data().values), *sorted(data().tables))
    name = one_of(parts.get("name"), file, f"{where}.name", names)
    kind = "values" if name in data().values else "tables"
    held = tuple(each for each in EDITIONS if not coverage_of(kind, name, each).startswith("no: "))
    edition = one_of(parts.get("edition"), file, f"{where}.edition", held)
    row, column = "", ""
    if kind == "values":
        table_at(written, file, where, ("name", "edition", "value"))
        ours: Figure = read_value(name, edition, {}).value
    else:
        row, column, ours = _cell(parts, name, edition, file, where)
    value = figure_at(parts.get("value"), ours, file, f"{where}.value")
    if value != ours:
        raise JobUnreadable("codebook.confirmation_differs", file=file, where=where, name=name, edition=edition,
                            row=row, column=column, found=str(value), ours=str(ours))  # fmt: skip
    return Confirmation(name, edition, ours, row, column)


def _cell(
    parts: Mapping[str, object], name: str, edition: str, file: str, where: str
) -> tuple[str, str, Decimal | str]:
    table = read_table(name, edition, {})
    rows = {table.label(each): each for each in table.rows}
    row = one_of(parts.get("row"), file, f"{where}.row", tuple(rows))
    filled = tuple(each for each in table.columns if each not in table.key and rows[row][each] is not None)
    column = one_of(parts.get("column"), file, f"{where}.column", filled)
    cell = rows[row][column]
    assert cell is not None
    return row, column, cell
