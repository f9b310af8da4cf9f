"""Appliances fastened in place: four or more count at three quarters; a range of counts is split by counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.items import Item, horsepower
from deadfront.quantities import ZERO
from deadfront.worksheet import build
from deadfront.worksheet.step import Step


@dataclass(frozen=True)
class Counting:
    """Which appliances are counted in one case, and at what percent.

    Args:
        counted: Ids of the load entries that count.
        percent: 75 where four or more count, else 100.
    """

    counted: frozenset[str]
    percent: Decimal


def size_floor(context: Context) -> Decimal:
    """Least size that counts [VA], zero in editions without one."""
    return context.number("fastened_va_min") if context.book.has("fastened_va_min") else ZERO


def certainty(context: Context, item: Item) -> bool | None:
    """Whether an appliance is large enough to count: yes, no, or None where its size is not known well enough."""
    floor_va = size_floor(context)
    if floor_va == ZERO:
        return True
    if item.hp is not None and item.hp >= horsepower(str(context.book.value("fastened_hp_min").value)):
        return True
    if item.each.value.low >= floor_va:
        return True
    if item.each.value.high is not None and item.each.value.high < floor_va:
        return False
    return None


def _best(
    items: Sequence[tuple[Item, bool | None]], floor: Decimal, least_count: int, share: Decimal, low: bool
) -> Counting | None:
    """The counting with the least (or greatest) sum, by counts 0 to `least_count` and more; None for no such counting.

    A table over counts, so the work grows with the number of appliances and not with their subsets.
    """
    states: dict[tuple[int, bool], tuple[Decimal, frozenset[str]]] = {(0, False): (ZERO, frozenset())}
    for percent_applies in (False, True):
        states[(0, percent_applies)] = (ZERO, frozenset())
    for item, sure in items:
        value = item.each.value
        grown: dict[tuple[int, bool], tuple[Decimal, frozenset[str]]] = {}
        for (count, applies), (cost, names) in states.items():
            factor = share if applies else Decimal(1)
            for counts in (True, False) if sure is None else (sure,):
                if low:
                    amount = max(value.low, floor) if counts and sure is None else value.low
                else:
                    top = value.high if value.high is not None else Decimal("1e12")
                    amount = min(top, floor) if not counts and sure is None else top
                new_count = min(count + item.number, least_count) if counts else count
                new_cost = cost + item.number * amount * (factor if counts else Decimal(1))
                key = (new_count, applies)
                kept = grown.get(key)
                if kept is None or (new_cost < kept[0] if low else new_cost > kept[0]):
                    grown[key] = (new_cost, names | {item.load.id} if counts else names)
        states = grown
    valid = {k: v for k, v in states.items() if k[1] == (k[0] >= least_count)}
    if not valid:
        return None
    key = (min if low else max)(valid, key=lambda k: valid[k][0])
    return Counting(valid[key][1], share * 100 if key[1] else Decimal(100))


def _case(context: Context, prefix: str, items: Sequence[Item], counting: Counting, floor: Decimal) -> Step:
    """One case worked: counted appliances at their percent, the others whole."""
    counted: list[Step] = []
    rest: list[Step] = []
    for item in items:
        step, inside = item.all, item.load.id in counting.counted
        if certainty(context, item) is None:
            bound = context.given("given/fastened_va_min", "fastened_va_min")
            if item.number > 1:
                many = build.counted(f"{prefix}/{item.load.id}/number", "count.of_these", item.number)
                bound = build.product(f"{prefix}/{item.load.id}/bound", bound.name, (many, bound), inline=True)
            edge = build.largest if inside else build.least
            step = edge(f"{prefix}/{item.load.id}", step.name, (step, bound))
        (counted if inside else rest).append(step)
    cite = context.cite("fastened_appliances")
    group = build.total(f"{prefix}/counted", "load.fastened_counted", counted)
    if counting.percent != 100:
        group = build.percent_of(f"{prefix}/demand", "load.fastened_demand", group, counting.percent, cite=cite)
    if not rest:
        return group
    return build.total(f"{prefix}/all", "load.fastened", (group, *rest), cite=cite)


def counting_cases(context: Context, items: Sequence[Item]) -> tuple[Counting, Counting]:
    """The counting of the least and of the greatest load; alike where the count is certain."""
    floor = size_floor(context)
    least_count = int(context.number("fastened_count_min"))
    share = context.number("fastened_percent") / 100
    judged = [(item, certainty(context, item)) for item in items]
    sure = frozenset(item.load.id for item, yes in judged if yes)
    low = _best(judged, floor, least_count, share, low=True) or Counting(sure, Decimal(100))
    high = _best(judged, floor, least_count, share, low=False) or Counting(sure, Decimal(100))
    if context.open():
        # Further appliances, not looked for yet, may raise the count: all that may count do, at the lower percent.
        may = frozenset(item.load.id for item, yes in judged if yes is not False)
        low = Counting(may if _worth(judged, floor, share) else sure, share * 100)
    return low, high


def sure_counting(context: Context, items: Sequence[Item], users: Sequence[Item]) -> Counting | None:
    """The counting where it is certain for some of the appliances; None where it hangs on a size not known.

    The least and the greatest load of all appliances may have the same counting though another one is possible: of a
    part of them, as of those on the neutral, it need not be the least or the greatest.
    """
    judged = [(item, certainty(context, item)) for item in items]
    counted = frozenset(item.load.id for item, yes in judged if yes)
    at_least = sum(item.number for item, yes in judged if yes)
    at_most = at_least + sum(item.number for item, yes in judged if yes is None)
    least_count = context.number("fastened_count_min")
    if at_most < least_count and not context.open():
        return Counting(counted, Decimal(100))
    if at_least >= least_count and all(certainty(context, item) is not None for item in users):
        return Counting(counted, context.number("fastened_percent"))
    return None


def _worth(judged: Sequence[tuple[Item, bool | None]], floor: Decimal, share: Decimal) -> bool:
    """Whether counting the uncertain ones gives the lower sum."""
    unsure = [i for i, yes in judged if yes is None]
    inside = sum((i.number * max(i.each.value.low, floor) * share for i in unsure), ZERO)
    outside = sum((i.number * i.each.value.low for i in unsure), ZERO)
    return inside < outside


def fastened_demand(context: Context, prefix: str, items: Sequence[Item]) -> Step:
    """Load of the appliances fastened in place after the demand for four or more [VA]."""
    floor = size_floor(context)
    if context.book.barred("fastened_appliances"):
        return build.total(f"{prefix}/fastened", "load.fastened", [item.all for item in items])
    low, high = counting_cases(context, items)
    if low == high:
        return _case(context, f"{prefix}/fastened", items, low, floor)
    least = _case(context, f"{prefix}/fastened/least", items, low, floor)
    most = _case(context, f"{prefix}/fastened/most", items, high, floor)
    return build.between_cases(f"{prefix}/fastened", "load.fastened", least, most)
