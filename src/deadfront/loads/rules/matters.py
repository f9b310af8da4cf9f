"""How much each load matters: the relied method worked again without it. Asked for, not run on every edit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.items import items_of
from deadfront.loads.rules.methods import method
from deadfront.loads.rules.service import service_limit
from deadfront.msg import Msg
from deadfront.quantities import Interval


@dataclass(frozen=True, slots=True)
class Share:
    """What one load adds to the relied method [A].

    Args:
        load: Its id.
        name: What it is called.
        with_it: The method's amperes as they are.
        without: The same without this load.
        adds: Difference of the high ends; None where a high end is not known, negative where it lowers the total.
    """

    load: str
    name: Msg
    with_it: Interval
    without: Interval
    adds: Decimal | None


def load_shares(context: Context, key: str) -> tuple[Share, ...]:
    """Every load's share of a method, the greatest first."""
    items, limit = items_of(context), service_limit(context)
    whole = method(context, key, items, limit).amperes
    if whole is None:
        return ()
    shares = []
    for item in items:
        fewer = tuple(load for load in context.at.house.loads if load.id != item.load.id)
        house = context.at.house.model_copy(update={"loads": fewer})
        at = replace(context.at, house=house)
        smaller = replace(context, at=at)
        rest = method(smaller, key, items_of(smaller), limit).amperes
        if rest is None:
            continue
        high, low = whole.value.high, rest.value.high
        adds = None if high is None or low is None else high - low
        shares.append(Share(item.load.id, item.each.name, whole.value, rest.value, adds))
    return tuple(sorted(shares, key=lambda s: (s.adds is None, -(s.adds or 0), s.load)))
