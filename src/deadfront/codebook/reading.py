"""Makes the entries of one edition out of the data as written."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import cast

from deadfront.codebook.data_files import coverage_of, data
from deadfront.codebook.editions import standing
from deadfront.codebook.entries import Cell, Row, Rule, Table, Value
from deadfront.codebook.site_entries import HazardKind, SiteQuestion
from deadfront.worksheet.cite import Status

Held = Mapping[tuple[str, str, str], str]  # (name, row, column) -> "license holder, date"
_ASIDE = ("status", "from_edition", "upto_edition")


def read_value(name: str, edition: str, held: Held) -> Value:
    """The value of that name as it stands in the edition."""
    entry = data().values[name]
    return Value(
        name,
        standing(entry["value"], edition),
        entry["unit"],
        standing(entry["section"], edition),
        edition,
        cast(Status, coverage_of("values", name, edition)),
        standing(entry["source"], edition),
        confirmed_by=held.get((name, "", "")),
    )


def read_rule(subject: str, edition: str) -> Rule:
    """The rule on that subject as it stands in the edition."""
    entry = data().rules[subject]
    return Rule(
        subject,
        standing(entry["section"], edition),
        edition,
        cast(Status, coverage_of("rules", subject, edition)),
        standing(entry["source"], edition),
        MappingProxyType(standing(entry.get("params", {}), edition) or {}),
        standing(entry.get("readings", {}), edition) or (),
    )


def read_table(name: str, edition: str, held: Held) -> Table:
    """The table of that name, with the rows that stand in the edition."""
    entry = data().tables[name]
    written: tuple[dict[str, str], ...] = entry["rows"]
    kept = [row for row in written if _stands(row, edition)]
    columns = tuple(column for column in written[0] if not column.endswith("status") and column not in _ASIDE)
    return Table(
        name,
        entry["about"],
        entry["unit"],
        standing(entry["section"], edition),
        edition,
        cast(Status, coverage_of("tables", name, edition)),
        standing(entry["source"], edition),
        entry["key"],
        columns,
        tuple(_row(row, columns, entry["text"]) for row in kept),
        tuple(_statuses(row) for row in kept),
        {(row, column): who for (table, row, column), who in held.items() if table == name},
    )


def read_question(key: str, edition: str) -> SiteQuestion:
    """The question of that key as it stands in the edition."""
    entry = data().questions[key]
    return SiteQuestion(
        key, entry["of"], entry["meets"], entry["severity"], entry["reaches"], entry.get("old", ""),
        tuple(entry.get("when", {}).items()), entry.get("hazard", ""),
        tuple((standing(entry.get("figures"), edition) or {}).items()), entry.get("caution", ""),
        standing(entry["section"], edition), edition, cast(Status, coverage_of("questions", key, edition)),
        standing(entry["source"], edition),
    )  # fmt: skip


def read_hazard(key: str, edition: str) -> HazardKind:
    """The kind of hazard of that key as it stands in the edition."""
    entry = data().hazards[key]
    return HazardKind(
        key, entry["severity"], entry.get("caution", ""), standing(entry.get("section", ""), edition) or "", edition,
        cast(Status, coverage_of("hazards", key, edition)), standing(entry["source"], edition),
        entry.get("add_nothing", ""),
    )  # fmt: skip


def _stands(row: dict[str, str], edition: str) -> bool:
    upto = row.get("upto_edition") or edition
    return (row.get("from_edition") or edition) <= edition <= upto


def _row(row: dict[str, str], columns: tuple[str, ...], text: tuple[str, ...]) -> Row:
    cells: dict[str, Cell] = {}
    for column in columns:
        raw = row[column]
        cells[column] = None if raw == "" else raw if column in text else Decimal(raw)
    return MappingProxyType(cells)


def _statuses(row: dict[str, str]) -> Mapping[str, Status]:
    told = {column.removesuffix("_status").removesuffix("status"): word
            for column, word in row.items() if column.endswith("status")}  # fmt: skip
    return cast(Mapping[str, Status], told)
