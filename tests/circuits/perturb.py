"""Every cell of the tables of circuits changed by a little, one at a time: which outside case, or which law, notices?

A published case must fail (or find nothing) by the changed book. A law recomputes a cell by nature: the factor of the
air from the temperatures, an area from its diameter or by the rule of the wire gauge. What neither notices is named.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from math import pi, sqrt
from typing import Any

from deadfront.codebook import Codebook, open_book
from deadfront.codebook.entries import Row
from deadfront.errors import DeadfrontError
from deadfront.quantities import SIZES
from tests.published import test_circuits as published

CELLS = {
    "ambient_correction": ("factor_60c", "factor_75c", "factor_90c"),
    "bundling_adjustment": ("percent",),
    "small_conductor_protection": ("rating_a",),
    "equipment_grounding_conductor": ("copper", "aluminum"),
    "conductor_ampacity": ("current_60c_a", "current_75c_a", "current_90c_a", "area_cmil"),
    "raceway_fill": ("percent",),
    "raceway_area": ("area_in2",),
    "conductor_area": ("area_in2",),
    "box_conductor_volume": ("volume_in3",),
    "box_volume": ("volume_in3",),
    "motor_protection_percent": ("breaker_percent",),
    "motor_code_letter": ("kva_hp_min", "kva_hp_max"),
    "roof_adder": ("adder_c",),
    "cable_temperature": ("insulation_min_c", "insulation_max_c", "limit_c", "limit_in_insulation_c"),
}
LARGEST_HOME_A, LARGEST_HOME_KCMIL = 400, 500  # what the study calls a home's cells


@dataclass(frozen=True)
class Changed:
    """One cell changed: where, and the book that holds it."""

    table: str
    row: Row
    column: str
    book: Codebook

    @property
    def name(self) -> str:
        """The cell in words."""
        return f"{self.table} {open_book(self.book.edition).table(self.table).label(self.row)} {self.column}"


def _other(cell: Decimal | str, column: str) -> Decimal | str:
    """A value beside the one that is printed."""
    if isinstance(cell, str):
        return SIZES[SIZES.index(cell) + 1] if cell in SIZES[:-1] else SIZES[-1]
    if column.endswith("_c") and cell in (60, 75, 90):
        return Decimal(75) if cell != 75 else Decimal(60)
    if column.startswith("current"):
        return cell + 5
    return cell * Decimal("1.1") if column in ("area_cmil", "area_in2") else cell + Decimal(1).scaleb(
        min(0, int(cell.as_tuple().exponent)))  # fmt: skip


def changed_books(edition: str) -> Iterator[Changed]:
    """The book of an edition, once for every cell, that cell changed."""
    book = open_book(edition)
    for name, columns in CELLS.items():
        table = book.table(name)
        for index, row in enumerate(table.rows):
            for column in columns:
                cell = row[column]
                if cell is None:
                    continue
                rows = (*table.rows[:index], {**row, column: _other(cell, column)}, *table.rows[index + 1 :])
                tables = {**book._tables, name: replace(table, rows=rows)}
                yield Changed(name, row, column, replace(book, _tables=tables, digest=f"{name}{index}{column}"))


# ---------- who notices: a published case
Case = Callable[[Codebook], None]


def cases() -> dict[str, Case]:
    """Published cases that take a book, each raising where it does not come out."""
    found: dict[str, Case] = {"dwelling sizes": _dwelling_sizes}
    for name, made in vars(published).items():
        if not name.startswith("test_") or name == "test_every_case_of_these_kinds_is_run":
            continue
        marks = [mark for mark in getattr(made, "pytestmark", ()) if mark.name == "parametrize"]
        if not marks:
            found[name] = made
            continue
        names, rows = marks[0].args
        keys = [each.strip() for each in names.split(",")] if isinstance(names, str) else list(names)
        for row in rows:
            found[f"{name}[{row[0]}]"] = _bound(made, dict(zip(keys, row, strict=True)))
    return found


def _dwelling_sizes(book: Codebook) -> None:
    """Published (distributor's page and trade education page on Table 310.12): each the smallest with 83 percent."""
    for row in book.table("dwelling_service_conductors").rows:
        for metal in ("copper", "aluminum"):
            carry = [r for r in book.table("conductor_ampacity").rows if r["metal"] == metal]
            fit = [r["size"] for r in carry if r["current_75c_a"] * 100 >= row["rating_a"] * 83]  # type: ignore[operator]
            assert fit[0] == row[metal]


def _bound(made: Callable[..., None], given: dict[str, Any]) -> Case:
    return lambda book: made(book=book, **given)


def notices(case: Case, book: Codebook) -> bool:
    """Whether a case does not come out by that book."""
    try:
        case(book)
    except (AssertionError, DeadfrontError, KeyError, IndexError):
        return True
    return False


# ---------- who notices: a law
def law_notices(changed: Changed) -> bool:
    """Whether nature says that the changed cell is wrong."""
    table = changed.book.table(changed.table)
    row = next(r for r in table.rows if all(r[k] == changed.row[k] for k in table.key))
    cell = row[changed.column]
    if changed.table == "ambient_correction":
        hot, celsius = row["celsius_max"], int(changed.column[7:9])
        if not isinstance(hot, Decimal) or not isinstance(cell, Decimal):
            return False
        return abs(float(cell) - sqrt((celsius - float(hot)) / (celsius - 30))) > 0.00505
    if changed.column == "area_cmil" and isinstance(cell, Decimal):
        return abs(float(cell) / _gauge_cmil(str(row["size"])) - 1) > 0.02
    diameter = row.get("inside_diameter_in") or row.get("diameter_in")
    if changed.column == "area_in2" and isinstance(diameter, Decimal) and isinstance(cell, Decimal):
        return abs(float(cell) / (pi * float(diameter) ** 2 / 4) - 1) > 0.03
    return False


def _gauge_cmil(size: str) -> float:
    """Area by the wire gauge's own rule: each of 39 steps from 36 AWG (5 mil) to 4/0 (460 mil) in equal ratio."""
    if "/" in size:
        number = 1 - int(size.split("/")[0])
    elif int(size) <= 36:
        number = int(size)
    else:
        return float(size) * 1000
    return float((5 * 92 ** ((36 - number) / 39)) ** 2)


# ---------- the counts
@dataclass(frozen=True)
class Caught:
    """How many changed cells of a table were noticed, and by whom."""

    table: str
    cells: int
    published: int
    law: int
    unseen: tuple[str, ...]

    def line(self) -> str:
        """One row of the study's table."""
        either = self.cells - len(self.unseen)
        share = f"{either} ({100 * either // self.cells} %)"
        return f"| `{self.table}` | {self.cells} | {self.published} | {self.law} | {share} |"


def caught(edition: str, tables: tuple[str, ...] = tuple(CELLS)) -> list[Caught]:
    """All cells of an edition, each changed alone, by table."""
    run_by, found = cases(), []
    for table in tables:
        cells = published_ = law = 0
        unseen: list[str] = []
        for changed in changed_books(edition):
            if changed.table != table:
                continue
            by_case = any(notices(each, changed.book) for each in run_by.values())
            by_law = law_notices(changed)
            cells, published_, law = cells + 1, published_ + by_case, law + by_law
            if not (by_case or by_law):
                unseen.append(changed.name)
        found.append(Caught(table, cells, published_, law, tuple(unseen)))
    return found
