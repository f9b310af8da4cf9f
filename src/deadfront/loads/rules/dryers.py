"""Household dryers: at least 5,000 VA each, and a percent by their number."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from deadfront.codebook import lookup
from deadfront.loads.rules.context import Context
from deadfront.loads.rules.items import Item
from deadfront.msg import said
from deadfront.quantities import ZERO
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

FURTHER_MOST = 60


def three_phase(context: Context) -> bool:
    """True where units are spread over three phases."""
    return context.at.house.service.system == "208Y/120 3ph 4w"


def most_between_phases(count: int) -> int:
    """The most appliances between any two of three phases, spread evenly."""
    return -(-count // 3)


def _demand(context: Context, ident: str, each: Step, items: Sequence[Step], count: int, further: int) -> Step:
    """The sum at the percent of a number of dryers, `further` unlisted ones of the least size among them."""
    found = lookup.dryer_percent(context.book, count + further)
    steps = list(items)
    if further:
        more = build.counted(f"{ident}/further", "count.further_dryers", further)
        steps.append(build.product(f"{ident}/unlisted", "load.further_dryers", (more, each)))
    sum_ = build.total(f"{ident}/sum", "load.dryers_connected", steps)
    return build.percent_of(ident, said("load.dryers", count=count + further), sum_, found.value, cite=found.cite)


def dryer_demand(context: Context, prefix: str, items: Sequence[Item]) -> Step | None:
    """Load of all household dryers after demand [VA]; None where there are none."""
    if not items:
        return None
    least = context.given("given/dryer_least", "dryer_va_min")
    steps = []
    for item in items:
        each = build.largest(
            f"{prefix}/dryer/{item.load.id}", item.each.name, (item.each, least), cite=least.all_cites()[:1]
        )
        many = build.counted(f"{prefix}/dryer/{item.load.id}/number", "count.of_these", item.number)
        steps.append(
            each
            if item.number == 1
            else build.product(f"{prefix}/dryer/{item.load.id}/all", item.each.name, (many, each))
        )
    count = sum(item.number for item in items)
    if three_phase(context):
        return _three_phase(context, prefix, steps, count)
    ident = f"{prefix}/dryers"
    if not context.open():
        return _demand(context, ident, least, steps, count, 0)
    # Further dryers may lower the percent: the least case is worked with as many as lower it most.
    low_sum = sum((s.value.low for s in steps), ZERO)
    further = min(range(FURTHER_MOST), key=lambda k: (_amount(context, low_sum, least.value.low, count, k), k))
    most = _demand(context, f"{ident}/most" if further else ident, least, steps, count, 0)
    if not further:
        return most
    return build.between_cases(
        ident, said("load.dryers", count=count), _demand(context, f"{ident}/least", least, steps, count, further), most
    )


def _amount(context: Context, low_sum: Decimal, least: Decimal, count: int, further: int) -> Decimal:
    return (low_sum + least * further) * lookup.dryer_percent(context.book, count + further).value / 100


def _three_phase(context: Context, prefix: str, steps: Sequence[Step], count: int) -> Step:
    """Twice the most dryers between any two phases, half of it a phase, three phases (Example D5's form)."""
    ident = f"{prefix}/dryers"
    between = 2 * most_between_phases(count)
    found = lookup.dryer_percent(context.book, between)
    connected = build.total(f"{ident}/sum", "load.dryers_connected", steps)
    mean = build.quotient(
        f"{ident}/mean", "load.mean_each", connected, build.counted(f"{ident}/count", "count.dryers", count), unit="VA"
    )
    two = build.product(
        f"{ident}/two_phases",
        "load.between_two_phases",
        (build.counted(f"{ident}/between", "count.between_two_phases", between), mean),
    )
    demand = build.percent_of(f"{ident}/demand", "load.dryers_between", two, found.value, cite=found.cite)
    if context.open():
        lowest = min(lookup.dryer_percent(context.book, n).value for n in range(1, FURTHER_MOST))
        least = build.percent_of(f"{ident}/least", "load.dryers_between", connected, lowest, cite=found.cite)
        demand = build.between_cases(
            f"{ident}/range",
            "load.dryers_between",
            build.least(f"{ident}/low", "load.dryers_between", (least, demand)),
            demand,
        )
    half = build.given(f"{ident}/three_halves", "load.three_halves", Decimal("1.5"), "", found.cite)
    return build.product(ident, said("load.dryers", count=count), (demand, half), cite=found.cite)
