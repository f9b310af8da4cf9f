"""The optional method for one dwelling: one tier for all general loads, heating or cooling beside it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.evse import evse_demand
from deadfront.loads.rules.hvac import has_supplement, supplement, together_missing
from deadfront.loads.rules.items import Item, of
from deadfront.loads.rules.lighting import connected_lighting
from deadfront.loads.rules.standard import _closed
from deadfront.msg import Msg, said
from deadfront.quantities import Interval
from deadfront.results.loads import Reading
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

GENERAL = ("cooking", "dryer", "fastened", "other")


def general_loads(context: Context, items: Sequence[Item]) -> list[Step]:
    """Lighting, circuits and all nameplates but heating, cooling and EVSE [VA]."""
    return [*connected_lighting(context), *(i.all for i in of(items, *GENERAL))]


def tiered_general(context: Context, prefix: str, loads: Sequence[Step], first: str, rest: str) -> Step:
    """General loads: so much whole, the rest at a lower percent."""
    extra = [context.unlisted(prefix)] if context.open() else []
    general = build.total(f"{prefix}/general", "load.general", _closed(context, prefix, [*loads, *extra]))
    tiers = ((context.number(first), build.HUNDRED), (None, context.number(rest)))
    return build.tiered(
        f"{prefix}/general_demand", "load.general_demand", general, tiers, cite=context.book.value(first).cite
    )


def read(subject: str, reading: str) -> Msg:
    """EV charging by one reading of a disputed rule."""
    return said("load.evse_read", reading=said(f"reading.{subject}.{reading}"))


def evse_readings(
    context: Context, prefix: str, items: Sequence[Item], subject: str
) -> tuple[Step | None, tuple[Reading, ...]]:
    """EVSE as it enters the pool of general loads [VA]; disputed in 2023, where the text is silent."""
    cars = of(items, "evse")
    if not cars:
        return None, ()
    rule = context.book.rule(subject)
    if not rule.readings:
        return evse_demand(context, prefix, cars, least=None, also=rule.cite), ()
    plain = evse_demand(context, prefix, cars, least=None, name=read(subject, "pool_nameplate"))
    floor = evse_demand(context, f"{prefix}/at_least", cars, name=read(subject, "pool_at_least_7200"))
    assert plain is not None and floor is not None
    reading = context.reading(subject)
    options = {"pool_at_least_7200": floor, "pool_nameplate": plain}
    step = build.chosen(
        f"{prefix}/evse_reading", "load.evse", options, reading.chosen or None, by=reading.by, cite=rule.cite
    )
    return step, (reading,)


def _share(context: Context, ident: str, name: str, step: Step, value: str) -> Step:
    entry = context.book.value(value)
    return build.percent_of(ident, name, step, context.number(value), cite=entry.cite)


def _heat_pumps(context: Context, prefix: str, items: Sequence[Item]) -> Step | None:
    """Heat pumps: compressors whole, supplemental heat at 65 percent; the larger where they cannot run together."""
    parts: list[Step] = []
    for item in of(items, "heat_pump"):
        compressor = _share(
            context, f"{prefix}/{item.load.id}/compressor", "load.compressor", item.all, "optional_heat_pump_percent"
        )
        if not has_supplement(item):
            parts.append(compressor)
            continue
        extra = _share(
            context,
            f"{prefix}/{item.load.id}/supplement",
            "load.supplement_share",
            supplement(context, item),
            "optional_supplement_percent",
        )
        both = build.total(f"{prefix}/{item.load.id}/both", "load.compressor_and_supplement", (compressor, extra))
        if item.load.together is None:
            one = build.largest(f"{prefix}/{item.load.id}/one", "load.supplement_or_compressor", (extra, compressor))
            both = build.between_cases(
                f"{prefix}/{item.load.id}", item.each.name, one, both, missing=(together_missing(context, item),)
            )
        if item.load.together is False:
            # It still cools alone: the compressor whole is the least it may count.
            both = build.largest(f"{prefix}/{item.load.id}", item.each.name, (extra, compressor))
        parts.append(both)
    return build.total(f"{prefix}/heat_pumps", "load.heat_pumps", parts) if parts else None


def separate_units(context: Context, items: Sequence[Item]) -> tuple[Interval, tuple[Missing, ...]]:
    """How many separately controlled heating units there are; open upward where an entry does not say."""
    low, missing = 0, []
    for item in items:
        load = item.load
        if load.separate_units is not None:
            low += load.separate_units
            continue
        name = item.each.name
        missing.append(
            Missing(
                context.at.path(load, "separate_units"),
                said("todo.separate_units", thing=name),
                said("todo.how.separate_units"),
            )
        )
    high = None if missing else Decimal(low)
    # Entries may share a thermostat, and one entry may have several: any unknown leaves the number open.
    return Interval(Decimal(low + bool(missing)), high), tuple(missing)


def _space_heat(context: Context, prefix: str, items: Sequence[Item]) -> Step | None:
    """Electric space heat: 65 percent under four separately controlled units, 40 percent from four on."""
    heaters = [i for i in of(items, "heat") if not i.load.continuous_rated]
    if not heaters:
        return None
    count, missing = separate_units(context, heaters)
    many = context.number("optional_heat_many_from")
    connected = build.total(f"{prefix}/space_heat", "load.heat", [i.all for i in heaters])
    few_step = _share(context, f"{prefix}/space_heat/few", "load.heat_few", connected, "optional_heat_few_percent")
    many_step = _share(context, f"{prefix}/space_heat/many", "load.heat_many", connected, "optional_heat_many_percent")
    if count.low >= many:
        return many_step
    if count.high is not None and count.high < many and not context.open():
        return few_step
    most = few_step
    return build.between_cases(f"{prefix}/space_heat/share", "load.heat", many_step, most, missing=missing)


def optional_climate(context: Context, prefix: str, items: Sequence[Item]) -> tuple[Step | None, tuple[Reading, ...]]:
    """The largest one of cooling, heat pumps, space heat and continuous heat, and blowers whole beside it [VA].

    Where several kinds of electric heat can run together, whether only the largest counts is a visible choice.
    """
    candidates: list[Step] = []
    cooling = of(items, "cooling", "heat_pump")
    if of(items, "cooling"):
        # A heat pump cools too: beside air conditioners its compressor is part of the cooling.
        whole = build.total(f"{prefix}/cooling", "load.cooling", [i.all for i in cooling])
        candidates.append(_share(context, f"{prefix}/cooling/share", "load.cooling", whole, "optional_cooling_percent"))
    pumps, space = _heat_pumps(context, prefix, items), _space_heat(context, prefix, items)
    candidates += [step for step in (pumps, space) if step is not None]
    steady = [i.all for i in of(items, "heat") if i.load.continuous_rated]
    if steady:
        whole = build.total(f"{prefix}/continuous", "load.heat_continuous", steady)
        candidates.append(
            _share(
                context, f"{prefix}/continuous/share", "load.heat_continuous", whole, "optional_heat_continuous_percent"
            )
        )
    handlers = of(items, "air_handler")
    if not candidates and not handlers:
        return None, ()
    cite = context.cite("dwelling_optional_load")
    one = build.largest(f"{prefix}/largest", "load.larger_climate", candidates, cite=cite)
    heats = [step for step in (pumps, space, candidates[-1] if steady else None) if step is not None]
    readings: tuple[Reading, ...] = ()
    if len(heats) > 1:
        reading = context.reading("optional_several_heats")
        both = build.total(f"{prefix}/heats", "load.heats_together", heats)
        options = {
            "largest_one": one,
            "all_that_run": build.largest(
                f"{prefix}/all_that_run", "load.heats_or_cooling", (both, *candidates), cite=cite
            ),
        }
        one = build.chosen(
            f"{prefix}/heat_reading",
            "load.larger_climate",
            options,
            reading.chosen or None,
            by=reading.by,
            cite=context.cite("optional_several_heats"),
        )
        readings = (reading,)
    if not handlers:
        return one, readings
    blowers = build.total(f"{prefix}/handlers", "load.handlers", [i.all for i in handlers])
    return build.total(f"{prefix}/climate", "load.climate", (one, blowers)), readings


def optional_load(
    context: Context, items: Sequence[Item], prefix: str = "optional"
) -> tuple[Step, tuple[Reading, ...]]:
    """Calculated load of one dwelling by the optional method [VA], and the readings it was taken by."""
    evse, readings = evse_readings(context, prefix, items, "evse_in_optional")
    outside = context.book.rule("evse_in_optional").params.get("place") == "outside_tiers"
    pool = general_loads(context, items)
    if evse is not None and not outside:
        pool.append(evse)
    parts = [tiered_general(context, prefix, pool, "optional_first_va", "optional_rest_percent")]
    if evse is not None and outside:
        parts.append(evse)
    heat_or_cool, heat_readings = optional_climate(context, prefix, items)
    readings = (*readings, *heat_readings)
    if heat_or_cool is not None:
        parts.append(heat_or_cool)
    return build.total(f"{prefix}/total", "load.total", parts, cite=context.cite("dwelling_optional_load")), readings
