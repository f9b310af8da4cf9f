"""Household cooking appliances by the range table, its columns and notes; the least permitted figure is taken.

Candidates: the nameplates (always allowed), all in column C (Notes 1 and 2), each in the column of its own rating
(Note 3). Whether Note 2 may take in small units beside one over 12 kW is disputed: a visible choice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import product as combinations

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.cooking_steps import Case, case_steps
from deadfront.loads.rules.cooking_value import Block, Scale, case_value, further_least
from deadfront.loads.rules.dryers import three_phase
from deadfront.loads.rules.items import Item
from deadfront.quantities import ZERO
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

MOST_CASES = 4096
NO_LIMIT = Decimal("1e12")


@dataclass(frozen=True)
class Table:
    """Thresholds of the range table [VA] in one edition."""

    edges: tuple[Decimal, ...]
    note_all: bool
    scale: Scale = field(default_factory=Scale)


def cooking_table(context: Context) -> Table:
    """The thresholds between nameplate only, column A, B, C, C with notes, and nameplate again."""
    names = ("cooking_va_min", "cooking_a_below", "cooking_b_upto", "cooking_c_upto", "cooking_note_upto")
    reading = context.reading("cooking_demand")
    return Table(tuple(context.number(n) for n in names), reading.chosen == "note_2_all", Scale(three_phase(context)))


def column_of(va: Decimal, table: Table) -> int:
    """0 nameplate only, 1 column A, 2 B, 3 C, 4 C with notes, 5 nameplate only, for one appliance's rating."""
    least, a_below, b_upto, c_upto, note_upto = table.edges
    if va <= least:
        return 0
    if va < a_below:
        return 1
    return 2 if va <= b_upto else 3 if va <= c_upto else 4 if va <= note_upto else 5


def columns_within(item: Item, table: Table) -> range:
    """All columns that a rating not fully known may fall in."""
    high = item.each.value.high
    return range(column_of(item.each.value.low, table), (5 if high is None else column_of(high, table)) + 1)


def _blocks(items: Sequence[Item], columns: Sequence[int], table: Table, low: bool) -> tuple[Block, ...]:
    """Every entry at the least (or greatest) rating that its column leaves it."""
    blocks = []
    for item, column in zip(items, columns, strict=True):
        value = item.each.value
        if low:
            va = max(value.low, table.edges[column - 1] if column else ZERO)
        else:
            top = NO_LIMIT if value.high is None else value.high
            va = min(top, table.edges[column] if column < 5 else NO_LIMIT)
        blocks.append(Block(va, item.number, column))
    return tuple(blocks)


def _outer(context: Context, prefix: str, items: Sequence[Item]) -> Step:
    """An outer range for more unread appliances than can be split by cases: from nothing to the nameplates."""
    none = build.given(f"{prefix}/cooking/none", "load.at_least_nothing", 0, "VA", None)
    names = build.total(f"{prefix}/cooking/nameplates", "load.cooking_nameplates", [i.all for i in items])
    return build.between_cases(f"{prefix}/cooking", "load.cooking", none, names, cite=context.cite("cooking_demand"))


def cooking_demand(context: Context, prefix: str, items: Sequence[Item]) -> Step | None:
    """Load of all household cooking appliances after demand [VA]; None where there are none."""
    if not items:
        return None
    if context.book.barred("cooking_demand"):
        return build.total(f"{prefix}/cooking", "load.cooking_nameplates", [item.all for item in items])
    table = cooking_table(context)
    spans = [columns_within(item, table) for item in items]
    cases = 1
    for span in spans:
        cases *= len(span)
    if cases > MOST_CASES:
        return _outer(context, prefix, items)
    further: Mapping[str, int] = {}
    ident = f"{prefix}/cooking"
    choices = list(combinations(*spans))

    def value(columns: Sequence[int], low: bool) -> Decimal:
        blocks = _blocks(items, columns, table, low)
        if low and context.open():
            return further_least(context.book, blocks, table.note_all, table.scale)[0]
        return case_value(context.book, blocks, table.note_all, table.scale)

    least = min(choices, key=lambda c: value(c, True)) if cases > 1 else choices[0]
    most = max(choices, key=lambda c: value(c, False)) if cases > 1 else choices[0]
    if context.open():
        further = further_least(context.book, _blocks(items, least, table, True), table.note_all, table.scale)[1]
    if least == most and not further:
        return case_steps(context, ident, items, Case(least, table.edges, table.note_all, table.scale))
    low = case_steps(
        context, f"{ident}/least", items, Case(least, table.edges, table.note_all, table.scale, True, further)
    )
    high = case_steps(context, f"{ident}/most", items, Case(most, table.edges, table.note_all, table.scale, False))
    return build.between_cases(ident, "load.cooking", low, high, cite=context.cite("cooking_demand"))
