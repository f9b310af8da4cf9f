"""Two-family and multifamily dwellings: the optional demand by number of units, and what it needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from deadfront.codebook import lookup
from deadfront.job.things import Unit
from deadfront.loads.rules.context import Context
from deadfront.loads.rules.evse import evse_demand
from deadfront.loads.rules.hvac import heat_pump_heat
from deadfront.loads.rules.items import Item, of
from deadfront.loads.rules.lighting import unit_lighting
from deadfront.loads.rules.standard import standard_load
from deadfront.msg import said
from deadfront.results.loads import Reading
from deadfront.worksheet import build
from deadfront.worksheet.step import Step


def unit_count(context: Context) -> int:
    """How many dwelling units the service feeds."""
    return sum(unit.count for unit in context.at.house.units)


@dataclass(frozen=True)
class Need:
    """What the multifamily method needs of every unit and one unit lacks: "cooking" or "climate"."""

    unit: Unit
    lacks: str


def needs_not_met(context: Context, items: Sequence[Item]) -> tuple[Need, ...]:
    """Units without electric cooking, or without electric heat, air conditioning or both."""
    lacking = []
    for unit in context.at.house.units:
        mine = [i for i in items if i.unit is not None and i.unit.id == unit.id]
        if not of(mine, "cooking") and not unit.gas_cooking:
            lacking.append(Need(unit, "cooking"))
        if not of(mine, "heat", "heat_pump", "cooling"):
            lacking.append(Need(unit, "climate"))
    return tuple(lacking)


def _assumed_cooking(context: Context, ident: str, unit: Unit) -> Step:
    """The cooking load that a unit with gas is counted for [VA], so that the method may be used."""
    rule = context.book.rule("multifamily_load")
    amount = Decimal(str(rule.params["assumed_cooking_va"]))
    each = build.given(f"{ident}/gas_cooking", "load.gas_cooking", amount, "VA", rule.cite)
    count = build.counted(f"{ident}/gas_cooking/number", "count.units", unit.count)
    return build.product(f"{ident}/gas_cooking/all", "load.gas_cooking", (count, each))


def connected_unit(context: Context, prefix: str, unit: Unit, items: Sequence[Item]) -> Step:
    """Connected load of one unit entry with all its alike units [VA]: nameplates, the larger of heating and cooling."""
    mine = [i for i in items if i.unit is not None and i.unit.id == unit.id]
    ident = f"{prefix}/{unit.id}"
    pumps = of(mine, "heat_pump")
    heat = build.total(
        f"{ident}/heat", "load.heat", [i.all for i in of(mine, "heat")] + [heat_pump_heat(context, i) for i in pumps]
    )
    cooling = build.total(f"{ident}/cooling", "load.cooling", [i.all for i in (*of(mine, "cooling"), *pumps)])
    parts = [
        *unit_lighting(context, unit),
        *(i.all for i in of(mine, "cooking", "dryer", "fastened", "other", "air_handler")),
    ]
    if not of(mine, "cooking") and unit.gas_cooking:
        parts.append(_assumed_cooking(context, ident, unit))
    if heat.args or cooling.args:
        parts.append(
            build.largest(
                f"{ident}/larger", "load.larger_climate", (heat, cooling), cite=context.cite("multifamily_load")
            )
        )
    evse = evse_demand(context, ident, of(mine, "evse"))
    if evse is not None:
        parts.append(evse)
    name = said("load.connected_unit", count=unit.count)
    return build.total(f"{ident}/connected", name, parts)


def _house(context: Context, items: Sequence[Item], prefix: str) -> tuple[list[Step], tuple[Reading, ...]]:
    """Loads outside the units, by the standard method."""
    house = [i for i in items if i.unit is None]
    if not house and not context.open():
        return [], ()
    found = standard_load(context, house, f"{prefix}/house", lighting=False)
    return [found.total], found.readings


def multifamily_load(
    context: Context, items: Sequence[Item], prefix: str = "multifamily"
) -> tuple[Step, tuple[Reading, ...]]:
    """Three or more units: connected loads at the percent for their number, house loads beside [VA]."""
    count = unit_count(context)
    found = lookup.multifamily_percent(context.book, count)
    units = [connected_unit(context, prefix, unit, items) for unit in context.at.house.units]
    connected = build.total(f"{prefix}/connected", "load.connected", units)
    demand = build.percent_of(f"{prefix}/demand", "load.multifamily_demand", connected, found.value, cite=found.cite)
    house, readings = _house(context, items, prefix)
    total = build.total(f"{prefix}/total", "load.total", (demand, *house), cite=context.cite("multifamily_load"))
    return total, readings


def two_family_load(
    context: Context, items: Sequence[Item], prefix: str = "two_family"
) -> tuple[Step, tuple[Reading, ...]]:
    """Two units: the lesser of the standard method and three units alike by the multifamily demand [VA].

    Where the two differ, three of the larger are taken. Without electric cooking and heat or cooling in both, the
    standard method alone.
    """
    standard = standard_load(context, items, f"{prefix}/standard")
    if needs_not_met(context, items):
        return standard.total, standard.readings
    found = lookup.multifamily_percent(context.book, 3)
    each = []
    for unit in context.at.house.units:
        whole = connected_unit(context, prefix, unit, items)
        alike = build.counted(f"{prefix}/{unit.id}/alike", "count.units", unit.count)
        each.append(
            whole
            if unit.count == 1
            else build.quotient(
                f"{prefix}/{unit.id}/one", said("load.connected_unit", count=1), whole, alike, unit="VA"
            )
        )
    larger = each[0] if len(each) == 1 else build.largest(f"{prefix}/larger_unit", "load.larger_unit", each)
    three = build.given(f"{prefix}/three", "count.three_alike", Decimal(3), "", context.cite("two_family_load"))
    connected = build.product(f"{prefix}/three_units", "load.three_units", (three, larger))
    demand = build.percent_of(f"{prefix}/demand", "load.multifamily_demand", connected, found.value, cite=found.cite)
    house, _ = _house(context, items, prefix)
    optional = build.total(f"{prefix}/optional", "load.by_three_units", (demand, *house))
    total = build.least(
        f"{prefix}/total", "load.total", (standard.total, optional), cite=context.cite("two_family_load")
    )
    return total, standard.readings
