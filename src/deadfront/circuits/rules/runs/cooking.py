"""Household cooking on one branch circuit: a range by the range table, a single oven or cooktop by its nameplate."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from deadfront.circuits.rules.runs.case import LoadCase, RunCase
from deadfront.circuits.rules.runs.current import current_of, volts_of
from deadfront.codebook.kinds import load_kinds
from deadfront.codebook.lookup import range_demand
from deadfront.quantities import point
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

HUNDRED = Decimal(100)
MOST_OVENS = 2


def is_cooking(load: LoadCase) -> bool:
    """Whether a load is a household cooking appliance."""
    kind = load_kinds().get(load.kind)
    return kind is not None and kind.group == "cooking"


def as_one_range(loads: Sequence[LoadCase]) -> bool:
    """Whether the range table may be used: a range, or one cooktop with one or two ovens."""
    kinds = [load.kind for load in loads for _ in range(load.quantity)]
    ovens = kinds.count("oven")
    return kinds == ["range"] or (kinds.count("cooktop") == 1 and 1 <= ovens <= MOST_OVENS and len(kinds) == ovens + 1)


def cooking_current(case: RunCase, loads: Sequence[LoadCase]) -> Step:
    """Current of the cooking appliances on a branch circuit [A]."""
    ratings = [load.nameplate_va or load.nameplate_w for load in loads]
    ident, name = f"run/{case.of}/cooking", "run.cooking"
    known = [rating * load.quantity for rating, load in zip(ratings, loads, strict=True) if rating is not None]
    if not as_one_range(loads) or len(known) < len(loads):
        return build.total(ident, name, [current_of(case, load) for load in loads], unit="A")
    parts = [
        build.fact(f"{ident}/{load.id}", load.said_name, amount, "VA", f"{load.root}.nameplate_w", inline=True)
        for load, amount in zip(loads, known, strict=True)
    ]
    rating = build.total(f"{ident}/rating", "run.cooking_rating", parts, inline=True)
    demand = _demand(case, ident, rating)
    return build.quotient(ident, name, demand, volts_of(case, loads[0]))


def _demand(case: RunCase, ident: str, rating: Step) -> Step:
    """Demand of one range by its rating (Table 220.55 with Notes 1, 3 and 4)."""
    book, va = case.book, rating.value.low
    edges = [book.value(n).number for n in ("cooking_va_min", "cooking_a_below", "cooking_b_upto", "cooking_c_upto",
                                            "cooking_note_upto")]  # fmt: skip
    row, cite = range_demand(book, 1), book.rule("household_cooking_circuit").cite
    assert rating.value == point(va)
    if va <= edges[0] or va > edges[4]:
        return rating
    if va <= edges[2]:
        column = row.a_percent if va < edges[1] else row.b_percent
        return build.percent_of(f"{ident}/share", "run.cooking_demand", rating, column.value,
                                 cite=(column.cite, cite), inline=True)  # fmt: skip
    base = build.lookup(f"{ident}/column_c", "run.cooking_demand", row.c_va.value, "VA", row.c_va.cite,
                        table="range_demand", row=row.c_va.row, inline=True)  # fmt: skip
    if va <= edges[3]:
        return base
    step = book.value("cooking_note_step_percent")
    whole, part = divmod(va - edges[3], 1000)
    steps = whole + (1 if part >= 500 else 0)
    return build.percent_of(f"{ident}/note", "run.cooking_over", base, HUNDRED + step.number * steps, cite=step.cite,
                            inline=True)  # fmt: skip
