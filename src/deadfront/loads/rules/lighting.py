"""General lighting and receptacles, small-appliance and laundry circuits, and their demand."""

from __future__ import annotations

from deadfront.job.things import Unit
from deadfront.loads.rules.context import TYPICAL, Context, unit_name
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, Interval, point
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


def _of_unit(context: Context, key: str, unit: Unit) -> Msg:
    """A fact of a unit, which is named where there are several."""
    if len(context.at.house.units) == 1:
        return said(f"todo.{key}")
    return said(f"todo.{key}_of", unit=unit_name(context, unit))


def floor_area(context: Context, unit: Unit) -> Step:
    """Floor area of one unit [ft2] by outside dimensions; unknown until entered."""
    path = context.at.path(unit, "floor_area_ft2")
    ident = f"unit/{unit.id}/floor_area"
    if unit.floor_area_ft2 is not None:
        return build.fact(ident, "load.floor_area", unit.floor_area_ft2, "ft2", path, inline=True)
    missing = Missing(path, _of_unit(context, "floor_area", unit), said("todo.how.floor_area"))
    return build.fact(ident, "load.floor_area", UNKNOWN, "ft2", path, missing=missing, inline=True)


def circuits(context: Context, unit: Unit, field: str) -> Step:
    """How many small-appliance or laundry circuits one unit is counted for: those found, at least the required number.

    Not counted yet is no upper limit. A laundry shared by all tenants leaves the unit's own out.
    """
    path, entered = context.at.path(unit, field), getattr(unit, field)
    name, ident = f"load.{field}", f"unit/{unit.id}/{field}"
    if field == "laundry_circuits" and unit.laundry_shared:
        return build.fact(ident, name, entered or 0, "", context.at.path(unit, "laundry_shared"), inline=True)
    minimum = context.book.value(f"{field}_min")
    if entered is not None:
        found = build.fact(ident, name, entered, "", path, inline=True)
        if entered >= minimum.number:
            return found
        least = build.given(f"{ident}/least", f"value.{field}_min", minimum.number, "", minimum.cite)
        return build.largest(f"{ident}/counted", name, (found, least), unit="", cite=minimum.cite, inline=True)
    low = point(context.number(f"{field}_min"))
    if TYPICAL in context.assumptions:
        # A first look takes the least number or one more (common practice).
        missing = Missing(path, _of_unit(context, field, unit), said("todo.how.count_circuits"))
        value = Interval(low.low, low.low + 1)
        return build.fact(
            ident, name, value, "", path, cite=minimum.cite, missing=missing, assumed=(TYPICAL,), inline=True
        )
    may_be_none = (
        field == "laundry_circuits" and unit.laundry_shared is None and sum(u.count for u in context.at.house.units) > 1
    )
    value = Interval(point(0).low if may_be_none else low.low, None)
    missing = Missing(path, _of_unit(context, field, unit), said("todo.how.count_circuits"))
    return build.fact(ident, name, value, "", path, cite=minimum.cite, missing=missing, inline=True)


def unit_lighting(context: Context, unit: Unit) -> tuple[Step, ...]:
    """The three connected loads of one unit entry [VA], counted for alike units."""
    rate = context.given("given/lighting_unit_load", "lighting_unit_load")
    small = context.given("given/small_appliance", "small_appliance_circuit_load")
    laundry = context.given("given/laundry", "laundry_circuit_load")
    many = () if unit.count == 1 else (build.counted(f"unit/{unit.id}/count", "count.units", unit.count),)
    base = f"unit/{unit.id}"
    return (
        build.product(f"{base}/lighting", "load.lighting", (*many, floor_area(context, unit), rate)),
        build.product(
            f"{base}/small_appliance",
            "load.small_appliance",
            (*many, circuits(context, unit, "small_appliance_circuits"), small),
        ),
        build.product(f"{base}/laundry", "load.laundry", (*many, circuits(context, unit, "laundry_circuits"), laundry)),
    )


def connected_lighting(context: Context, times: int = 1) -> tuple[Step, ...]:
    """Connected lighting, small-appliance and laundry loads of all units [VA]; unknown where no unit is entered."""
    units = context.at.house.units
    if units:
        return tuple(step for unit in units for step in unit_lighting(context, unit))
    missing = Missing("before/complete.units", said("todo.floor_area"), said("todo.how.floor_area"))
    return (build.fact("unit/none/lighting", "load.lighting", UNKNOWN, "VA", missing.path, missing=missing),)


def lighting_demand(context: Context, prefix: str) -> Step:
    """Lighting, small-appliance and laundry load of all units after the demand tiers [VA]."""
    table = context.book.table("lighting_demand")
    tiers = tuple((row["load_upto_va"], row["percent"]) for row in table.rows)
    connected = build.total(f"{prefix}/lighting_connected", "load.lighting_connected", connected_lighting(context))
    return build.tiered(f"{prefix}/lighting", "load.lighting_demand", connected, tiers, cite=table.cite)  # type: ignore[arg-type]
