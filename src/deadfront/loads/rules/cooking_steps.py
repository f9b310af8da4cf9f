"""One case of the cooking load as Steps: every appliance in a settled column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from deadfront.codebook import lookup
from deadfront.loads.rules.context import Context
from deadfront.loads.rules.cooking_value import KILO, LEAST_OF_COLUMN, Block, Scale, all_in_c, column_percent
from deadfront.loads.rules.items import Item
from deadfront.msg import said
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

LETTER = {1: "A", 2: "B", 3: "C", 4: "C"}


@dataclass(frozen=True)
class Case:
    """Settled columns of all entries, whether the least or greatest rating is meant, further appliances unlisted."""

    columns: Sequence[int]
    edges: tuple[Decimal, ...]
    note_all: bool
    scale: Scale
    low: bool | None = None
    further: Mapping[str, int] = field(default_factory=dict)


def _each(context: Context, ident: str, item: Item, column: int, case: Case) -> Step:
    """Rating of one appliance, kept within its column where its range reaches beyond."""
    step, value = item.each, item.each.value
    floor = case.edges[column - 1] if column else None
    roof = case.edges[column] if column < 5 else None
    if case.low is not False and floor is not None and value.low < floor:
        bound = build.given(f"{ident}/floor", "load.column_edge", floor, "VA", context.cite("cooking_demand"))
        step = build.largest(f"{ident}/from", item.each.name, (step, bound))
    elif case.low is False and roof is not None and (value.high is None or value.high > roof):
        bound = build.given(f"{ident}/roof", "load.column_edge", roof, "VA", context.cite("cooking_demand"))
        step = build.least(f"{ident}/upto", item.each.name, (step, bound))
    return step


def _all(ident: str, item: Item, each: Step) -> Step:
    if item.number == 1:
        return each
    if each is item.each:
        return item.all
    return build.product(
        f"{ident}/all", item.each.name, (build.counted(f"{ident}/number", "count.of_these", item.number), each)
    )


def _three_halves(ident: str, step: Step, scale: Scale) -> Step:
    if scale.factor() == 1:
        return step
    half = build.given(f"{ident}/three_halves", "load.three_halves", scale.factor(), "", step.all_cites()[-1:])
    return build.product(f"{ident}/three_phases", step.name, (step, half))


def _between_phases(ident: str, name: str, steps: Sequence[Step], number: int, scale: Scale) -> Step:
    """A sum of nameplates; for three phases the share of them that two phases carry at most, twice."""
    connected = build.total(ident, name, steps)
    count = scale.count(number)
    if count == number:
        return connected
    ratio = build.given(f"{ident}/ratio", "load.between_two_phases_share", Decimal(count) / number, "", None)
    return build.product(f"{ident}/two_phases", "load.between_two_phases", (connected, ratio))


def _names(ident: str, name: str, entries: Sequence[tuple[Item, Step]], scale: Scale) -> Step:
    """Nameplates as they stand (for three phases as the table's counts are)."""
    number = sum(item.number for item, _ in entries)
    steps = [_all(f"{ident}/{item.load.id}", item, step) for item, step in entries]
    return _three_halves(ident, _between_phases(ident, name, steps, number, scale), scale)


def _connected(ident: str, entries: Sequence[tuple[Item, Step]], name: str = "load.cooking_outside") -> Step:
    """Nameplates of what the table does not reach, as any other load: the count by phases is the table's alone."""
    return build.total(ident, name, [_all(f"{ident}/{item.load.id}", item, step) for item, step in entries])


def _percent_column(context: Context, ident: str, column: int, group: Sequence[tuple[Item, Step]], case: Case) -> Step:
    """Column A or B: a percent of the nameplates (Note 3)."""
    further = case.further.get(str(column), 0)
    number = sum(item.number for item, _ in group) + further
    steps = [_all(f"{ident}/{item.load.id}", item, each) for item, each in group]
    if further:
        steps.append(
            build.given(
                f"{ident}/unlisted", "load.further_cooking", LEAST_OF_COLUMN[column] * further, "VA", None, inline=False
            )
        )
    connected = _between_phases(f"{ident}/sum", "load.cooking_connected", steps, number, case.scale)
    count = case.scale.count(number)
    found = column_percent(lookup.range_demand(context.book, count), column)
    name = said("load.cooking_column", column=LETTER[column], count=count)
    return _three_halves(ident, build.percent_of(ident, name, connected, found.value, cite=found.cite), case.scale)


def _over_twelve(
    context: Context, ident: str, group: Sequence[tuple[Item, Step]], number: int, further: int
) -> Step | None:
    """Percent to add for the average over 12 kW (Notes 1 and 2), or None where nothing is over."""
    twelve = context.given(f"{ident}/twelve", "cooking_c_upto")
    if all(each.value.high is not None and each.value.high <= twelve.value.low for _, each in group):
        return None
    raised = []
    for item, each in group:
        step = each
        if each.value.low < twelve.value.low:
            step = build.largest(f"{ident}/{item.load.id}/raised", item.each.name, (each, twelve))
        raised.append(_all(f"{ident}/{item.load.id}/raised", item, step))
    if further:
        raised.append(
            build.given(
                f"{ident}/unlisted", "load.further_cooking", twelve.value.low * further, "VA", None, inline=False
            )
        )
    connected = build.total(f"{ident}/raised", "load.cooking_raised", raised)
    count = build.counted(f"{ident}/n", "count.cooking", number)
    average = build.quotient(f"{ident}/average", "load.cooking_average", connected, count, unit="VA")
    over = build.minus(f"{ident}/over", "load.cooking_over", average, twelve)
    kilo = build.given(f"{ident}/kilo", "load.kilo", KILO, "VA", None)
    kilos = build.quotient(f"{ident}/over_kw", "load.cooking_over_kw", over, kilo, unit="kW")
    whole = build.rounded(f"{ident}/steps", "load.cooking_steps", kilos, unit="kW", cite=context.cite("cooking_demand"))
    return build.product(
        f"{ident}/increase",
        "load.cooking_increase",
        (whole, context.given(f"{ident}/step", "cooking_note_step_percent")),
        unit="%",
    )


def _column_c(context: Context, ident: str, group: Sequence[tuple[Item, Step]], case: Case, key: str) -> Step:
    """Column C, raised by Notes 1 and 2 where appliances are over 12 kW."""
    further = case.further.get(key, 0)
    number = sum(item.number for item, _ in group) + further
    row = lookup.range_demand(context.book, case.scale.count(number))
    name = said("load.cooking_column", column="C", count=case.scale.count(number))
    figure = build.lookup(
        f"{ident}/figure", name, row.c_va.value, "VA", row.c_va.cite, table="range_demand", row=row.c_va.row
    )
    increase = _over_twelve(context, ident, group, number, further)
    if increase is None:
        return _three_halves(ident, figure, case.scale)
    hundred = build.given(f"{ident}/hundred", "load.hundred", 100, "%", None)
    part = build.quotient(f"{ident}/part", "load.cooking_increase", increase, hundred, unit="", inline=True)
    whole = build.given(f"{ident}/one", "load.one", 1, "", None)
    factor = build.total(f"{ident}/factor", "load.cooking_factor", (whole, part), unit="")
    raised = build.product(ident, "load.cooking_raised_figure", (figure, factor), cite=context.cite("cooking_demand"))
    return _three_halves(ident, raised, case.scale)


def case_steps(context: Context, ident: str, items: Sequence[Item], case: Case) -> Step:
    """The least permitted load of one settled case [VA]."""
    each = [
        (i, c, _each(context, f"{ident}/{i.load.id}", i, c, case)) for i, c in zip(items, case.columns, strict=True)
    ]
    outside = [(i, step) for i, c, step in each if c in (0, 5)]
    plain = [_connected(f"{ident}/outside", outside)] if outside else []
    groups = {k: [(i, step) for i, c, step in each if c in ks] for k, ks in ((1, {1}), (2, {2}), (3, {3, 4}))}
    inside = [(i, step) for i, c, step in each if c not in (0, 5)]
    if not inside:
        return _connected(ident, outside, "load.cooking_nameplates")
    names = _names(f"{ident}/nameplates", "load.cooking_nameplates", inside, case.scale)
    if outside:
        names = build.total(f"{ident}/all_nameplates", "load.cooking_nameplates", (names, *plain))
    own = [
        _percent_column(context, f"{ident}/column_{LETTER[k].lower()}", k, groups[k], case) for k in (1, 2) if groups[k]
    ]
    if groups[3]:
        own.append(_column_c(context, f"{ident}/column_c", groups[3], case, "3"))
    small = bool(groups[1] or groups[2])
    candidates = [names]
    if len(own) + len(plain) == 1:
        candidates.append(own[0])
    else:
        candidates.append(build.total(f"{ident}/own_columns", "load.cooking_own_columns", (*own, *plain)))
    blocks = [Block(s.value.low, i.number, c) for i, c, s in each if c not in (0, 5)]
    if small and all_in_c(blocks, case.note_all):
        every = _column_c(context, f"{ident}/all_c", inside, case, "all")
        candidates.append(
            build.total(f"{ident}/all_column_c", "load.cooking_all_c", (every, *plain)) if plain else every
        )
    return build.least(ident, "load.cooking", candidates, cite=context.cite("cooking_demand"))
