"""The existing dwelling: 8 kVA whole and the rest at 40 percent, with heating and cooling by whether any is added."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.hvac import has_supplement, heat_pump_heat, supplement
from deadfront.loads.rules.items import Item, of
from deadfront.loads.rules.optional import evse_readings, general_loads, tiered_general
from deadfront.msg import Msg, said
from deadfront.results.loads import Reading
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

CLIMATE = ("heat", "heat_pump", "cooling", "air_handler")
TIER = ("existing_first_va", "existing_rest_percent")


def climate_added(items: Sequence[Item]) -> bool:
    """True where the work adds heating or cooling: the second form of the method; a blower alone is neither."""
    return any(i.new for i in of(items, "heat", "heat_pump", "cooling"))


def whole_climate(context: Context, prefix: str, items: Sequence[Item]) -> Step:
    """The larger of heating and cooling, whole, with blowers [VA]."""
    pumps = of(items, "heat_pump")
    heat = build.total(
        f"{prefix}/heat", "load.heat", [i.all for i in of(items, "heat")] + [heat_pump_heat(context, i) for i in pumps]
    )
    cooling = build.total(f"{prefix}/cooling", "load.cooling", [i.all for i in (*of(items, "cooling"), *pumps)])
    larger = build.largest(
        f"{prefix}/larger", "load.larger_climate", (heat, cooling), cite=context.cite("existing_dwelling_load")
    )
    blowers = [i.all for i in of(items, "air_handler")]
    return build.total(f"{prefix}/climate", "load.climate", (larger, *blowers))


def _pooled(
    context: Context,
    prefix: str,
    pool: list[Step],
    beside: Sequence[Step],
    name: Msg | str = "load.total",
    form: str = "(A)",
) -> Step:
    general = tiered_general(context, prefix, pool, *TIER)
    cite = context.cite("existing_dwelling_load")
    at = replace(cite, section=f"{cite.section}{form}")
    return build.total(f"{prefix}/total", name, (general, *beside), cite=at)


def existing_load(
    context: Context, items: Sequence[Item], prefix: str = "existing"
) -> tuple[Step, tuple[Reading, ...]]:
    """Calculated load of an existing dwelling [VA], and the readings it was taken by."""
    evse, readings = evse_readings(context, prefix, items, "evse_in_existing")
    pool = general_loads(context, items) + ([evse] if evse is not None else [])
    if not of(items, *CLIMATE):
        return _pooled(context, prefix, pool, ()), readings
    whole = whole_climate(context, prefix, items)
    if not of(items, "heat", "heat_pump", "cooling"):
        return _pooled(context, prefix, pool, (whole,)), readings
    if climate_added(items):
        return _pooled(context, prefix, pool, (whole,), form="(B)"), readings
    reading = context.reading("existing_hvac")
    pumps = of(items, "heat_pump")
    # Heating and cooling both count, so a compressor counts beside a supplement that it cannot run with.
    every = [i.all for i in of(items, "heat", "heat_pump", "cooling", "air_handler")]
    every += [supplement(context, i) for i in pumps if has_supplement(i)]
    blowers = [i.all for i in of(items, "air_handler")]

    def read(name: str) -> Msg:
        return said("load.total_read", reading=said(f"reading.existing_hvac.{name}"))

    options = {
        "larger_at_100": _pooled(context, f"{prefix}/larger_at_100", pool, (whole,), read("larger_at_100")),
        "both_in_pool": _pooled(context, f"{prefix}/both_in_pool", [*pool, *every], (), read("both_in_pool")),
        "left_out": _pooled(context, f"{prefix}/left_out", [*pool, *blowers], (), read("left_out")),
    }
    cite = context.book.rule("existing_hvac").cite
    step = build.chosen(f"{prefix}/total", "load.total", options, reading.chosen or None, by=reading.by, cite=cite)
    return step, (*readings, reading)
