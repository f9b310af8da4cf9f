"""Every cell of the load tables changed by a little, one at a time: who notices?

A published case or the second engine (tests/oracle) must see it; what neither sees is named. Keys of rows (counts,
horsepower) stay; lighting's tier edges are cells.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Any

from deadfront.codebook import lookup, open_book
from deadfront.codebook.book import Codebook
from deadfront.loads.rules.cooking import cooking_demand
from deadfront.loads.rules.dryers import dryer_demand
from deadfront.loads.rules.items import items_of, of
from deadfront.loads.rules.lighting import lighting_demand
from deadfront.loads.rules.several import multifamily_load, two_family_load
from deadfront.loads.rules.standard import standard_load
from tests.loads.from_case import context_of
from tests.oracle import pieces, tables
from tests.oracle.houses import MOTOR_A
from tests.oracle.houses import load as case_load
from tests.oracle.model import items_of as oracle_items
from tests.oracle.published_inputs import all_loads, case_of, duplex, load, unit_of
from tests.published.run_case import BEFORE_2026, CASES, agrees

CELLS = {
    "range_demand": ("a_percent", "b_percent", "c_va", "c_each_va"),
    "dryer_demand": ("percent", "less_each_percent"),
    "multifamily_demand": ("percent",),
    "lighting_demand": ("load_upto_va", "percent"),
    "motor_current_single_phase": ("current_115v_a", "current_200v_a", "current_208v_a", "current_230v_a"),
}
STEP = {"c_va": Decimal(1000), "c_each_va": Decimal(10), "load_upto_va": Decimal(1000)}


@dataclass(frozen=True)
class Changed:
    """One cell changed: where, and the book that holds it."""

    table: str
    row: int
    column: str
    book: Codebook

    @property
    def name(self) -> str:
        table = open_book(self.book.edition).table(self.table)
        return f"{self.table} {table.label(table.rows[self.row])} {self.column}"


def changed_books(edition: str) -> Iterator[Changed]:
    """The book of an edition, once for every cell, that cell a little larger."""
    book = open_book(edition)
    for name, columns in CELLS.items():
        if not book.has(name):
            continue
        table = book.table(name)
        for index, row in enumerate(table.rows):
            for column in columns:
                cell = row[column]
                if not isinstance(cell, Decimal):
                    continue
                step = STEP.get(column, Decimal("0.1") if column.endswith("_a") else Decimal(1))
                rows = (*table.rows[:index], {**row, column: cell + step}, *table.rows[index + 1 :])
                tables_ = {**book._tables, name: replace(table, rows=rows)}
                yield Changed(name, index, column, replace(book, _tables=tables_, digest=f"{name}{index}{column}"))


# ---------- who notices: the second engine


def _of(book: Codebook, loads: list[dict[str, Any]], area_ft2: object = 0, count: int = 1) -> Any:
    """A house of these loads by a changed book."""
    unit = {**unit_of({}, count, loads), "floor_area_ft2": area_ft2}
    return replace(context_of(case_of([unit], book.edition)), book=book)


def _counts(changed: Changed) -> range:
    table = changed.book.table(changed.table)
    row = table.rows[changed.row]
    low, high = (row[key] for key in table.key)
    assert isinstance(low, Decimal)
    return range(int(low), int(high) + 1 if isinstance(high, Decimal) else int(low) + 3)


def _cooking(book: Codebook, count: int) -> bool:
    for va in (3000, 3500, 8000, 12000):
        loads = [case_load("range", va, 240, True, quantity=count)]
        context = _of(book, loads)
        ours = cooking_demand(context, "part", of(items_of(context), "cooking"))
        assert ours is not None
        if Fraction(ours.value.low) != pieces.cooking_demand_va(oracle_items(loads), "120/240"):
            return True
    return False


def _dryers(book: Codebook, count: int) -> bool:
    loads = [case_load("dryer", 5000, 240, True, quantity=count)]
    context = _of(book, loads)
    ours = dryer_demand(context, "part", of(items_of(context), "dryer"))
    assert ours is not None
    return Fraction(ours.value.low) != pieces.dryer_demand_va(oracle_items(loads), "120/240")


def _lighting(book: Codebook) -> bool:
    for area in (500, 20_000, 100_000):
        context = _of(book, [], area)
        va_ft2 = tables.lighting_unit_load_va_ft2(book.edition)
        theirs = pieces.lighting_demand_va(Fraction(area) * va_ft2)
        if Fraction(lighting_demand(context, "part").value.low) != theirs:
            return True
    return False


def _motor(changed: Changed) -> bool:
    hp = str(changed.book.table(changed.table).rows[changed.row]["hp"])
    if hp not in MOTOR_A:
        return False
    printed = dict(zip(("115", "208", "230"), MOTOR_A[hp], strict=True))
    return any(
        lookup.motor_current(changed.book, hp, Decimal(volts)).value != Decimal(amperes)
        for volts, amperes in printed.items()
    )


def second_engine_sees(changed: Changed) -> bool:
    """Whether a house on that row comes out otherwise than by the second engine."""
    if changed.table == "range_demand":
        return any(_cooking(changed.book, count) for count in _counts(changed))
    if changed.table == "dryer_demand":
        return any(_dryers(changed.book, count) for count in _counts(changed))
    if changed.table == "multifamily_demand":
        return any(
            Fraction(lookup.multifamily_percent(changed.book, units).value) != tables.multifamily_factor(units) * 100
            for units in _counts(changed)
        )
    return _lighting(changed.book) if changed.table == "lighting_demand" else _motor(changed)


# ---------- who notices: a published case

Published = Callable[[Codebook], bool]


@lru_cache(maxsize=1)
def published_checks() -> dict[str, Published]:
    """Published cases that rest on a table, each true while it comes out as printed (or as corrected)."""
    return {
        **{name: _component(name) for name in ("nfpa-d6a", "nfpa-d6b", "ees-range-14", "knowhow-oven-3",
                                               "mh-cook-3-6-14")},
        **{name: _house(name) for name in ("nfpa-d1a", "nfpa-d4a-unit", "etalk-2000-std", "centerville-1500",
                                           "centerville-1000-ERR")},
        **{name: _building(name) for name in ("nfpa-d4a-bank", "nfpa-d4a-main", "nfpa-d5a-bank", "nfpa-d5a-main")},
        "mh-12unit-84": _twelve_units, "mh-duplex-std-ERR": _duplex_standard, "mh-duplex-opt": _duplex_optional,
    }  # fmt: skip


def _expected(name: str) -> object:
    case = CASES[name]
    return (case["recomputed"] if case["test_use"] == "corrected_value" else case["result"])["total_va"]


def _component(name: str) -> Published:
    case = case_of([unit_of({}, 1, all_loads(CASES[name]["inputs"]))], "2023")

    def check(book: Codebook) -> bool:
        context = replace(context_of({**case, "edition": book.edition}), book=book)
        step = cooking_demand(context, "part", of(items_of(context), "cooking"))
        return step is not None and agrees(step.value.low, _expected(name))

    return check


def _by_standard(case: dict[str, Any], name: str) -> Published:
    def check(book: Codebook) -> bool:
        context = replace(context_of({**case, "edition": book.edition}), book=book)
        return agrees(standard_load(context, items_of(context)).total.value.low, _expected(name))

    return check


def _house(name: str) -> Published:
    inputs = CASES[name]["inputs"]
    return _by_standard(case_of([unit_of(inputs, 1, all_loads(inputs))], "2023"), name)


def _building(name: str) -> Published:
    inputs = CASES[name]["inputs"]
    three_phase, ranges = inputs["system"] == "208Y/120 V", inputs["cooking"][0]["qty"]
    a_range = load("range", {"kw": 12}, 208 if three_phase else 240, True)
    units = [unit_of(inputs, ranges, [a_range]), unit_of(inputs, inputs["dwelling_units"] - ranges, [])]
    return _by_standard(case_of(units, "2023", "208Y/120 3ph" if three_phase else "120/240"), name)


def _twelve_units(book: Codebook) -> bool:
    loads = [load("range", {"kw": 12}, 240, True), load("space_heat", {"va": 21360}, 240, False)]
    inputs = {"floor_area_ft2": 0, "small_appliance_circuits": 2, "laundry_circuits": 0}
    context = replace(context_of(case_of([unit_of(inputs, 12, loads)], book.edition)), book=book)
    return agrees(multifamily_load(context, items_of(context))[0].value.low, _expected("mh-12unit-84"))


def _duplex_standard(book: Codebook) -> bool:
    return _by_standard(duplex(CASES["mh-duplex-std-ERR"]), "mh-duplex-std-ERR")(book)


def _duplex_optional(book: Codebook) -> bool:
    case = {**duplex(CASES["mh-duplex-opt"]), "edition": book.edition}
    context = replace(context_of(case), book=book)
    return agrees(two_family_load(context, items_of(context))[0].value.low, _expected("mh-duplex-opt"))


def holding(edition: str) -> dict[str, Published]:
    """Published cases that hold by the unchanged book of an edition."""
    if edition not in BEFORE_2026:
        return {name: check for name, check in published_checks().items() if "nfpa-d6" in name or "range" in name}
    return {name: check for name, check in published_checks().items() if check(open_book(edition))}


@dataclass(frozen=True)
class Caught:
    """How many cells of one edition were changed, and who noticed."""

    edition: str
    cells: int
    published: int
    second: int
    either: int
    unseen: tuple[str, ...]

    def row(self) -> str:
        """One row of the study's table."""
        share = f"{100 * self.published / self.cells:.0f} %", f"{100 * self.second / self.cells:.0f} %"
        return (f"| {self.edition} | {self.cells} | {self.published} ({share[0]}) | {self.second} ({share[1]}) | "
                f"{self.either} | {', '.join(self.unseen) or 'none'} |")  # fmt: skip


def caught_by_edition(edition: str) -> Caught:
    """All cells of an edition, each changed alone."""
    checks, published, second, either, cells = holding(edition), 0, 0, 0, 0
    unseen: list[str] = []
    for changed in changed_books(edition):
        cells += 1
        by_case = any(not check(changed.book) for check in checks.values())
        by_engine = second_engine_sees(changed)
        published, second, either = published + by_case, second + by_engine, either + (by_case or by_engine)
        if not (by_case or by_engine):
            unseen.append(changed.name)
    return Caught(edition, cells, published, second, either, tuple(unseen))
