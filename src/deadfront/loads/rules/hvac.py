"""Heating and cooling that cannot run together; the quarter of the largest motor hangs on which one is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from deadfront.loads.rules.context import TYPICAL, Context, thing_name
from deadfront.loads.rules.items import Item, of
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, between
from deadfront.results.loads import Reading
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


def supplement(context: Context, item: Item) -> Step:
    """Electric supplemental heat of one heat pump entry [VA], all of its number; unknown until entered."""
    load, path = item.load, context.at.path(item.load, "supplemental_w")
    ident, name = f"load/{load.id}/supplement", said("load.supplement", thing=thing_name(load.id, load.name, load.kind))
    if load.supplemental_w is None:
        missing = Missing(
            path, said("todo.supplement", thing=thing_name(load.id, load.name, load.kind)), said("todo.how.supplement")
        )
        common = item.kind.typical_supplement if TYPICAL in context.assumptions else None
        value, assumed = (UNKNOWN, ()) if common is None else (between(*common), (TYPICAL,))
        each = build.fact(ident, name, value, "VA", path, missing=missing, assumed=assumed)
    else:
        each = build.fact(ident, name, load.supplemental_w, "VA", path)
    if item.number == 1:
        return each
    count = build.counted(f"{ident}/number", "count.of_these", item.number)
    return build.product(f"{ident}/all", name, (count, each))


def has_supplement(item: Item) -> bool:
    """True unless it is known to have none."""
    return item.load.supplemental_w is None or item.load.supplemental_w > 0


def together_missing(context: Context, item: Item) -> Missing:
    """Whether compressor and supplemental heat can run together, as a fact to find out."""
    name = thing_name(item.load.id, item.load.name, item.load.kind)
    return Missing(context.at.path(item.load, "together"), said("todo.together", thing=name), said("todo.how.together"))


def heat_pump_heat(context: Context, item: Item) -> Step:
    """Heat pump heating [VA]: compressor and supplement if they can run together, else the larger."""
    name = said("load.heat_pump_heat", thing=item.each.name)
    if not has_supplement(item):
        return item.all
    extra, ident = supplement(context, item), f"load/{item.load.id}/heating"
    both = build.total(f"{ident}/both", name, (item.all, extra))
    one = build.largest(f"{ident}/one", name, (item.all, extra))
    if item.load.together is None:
        return build.between_cases(ident, name, one, both, missing=(together_missing(context, item),))
    return both if item.load.together else one


def runs_in_heating(item: Item) -> bool | None:
    """Whether a compressor runs in the heating load: not where it cannot run with a larger supplement."""
    extra, one = item.load.supplemental_w, item.each.value
    if item.load.together or extra == 0:
        return True
    if extra is not None and item.load.together is False:
        if extra <= one.low:
            return True
        if one.high is not None and extra > one.high:
            return False
    return None


@dataclass(frozen=True)
class Climate:
    """Heating and cooling of a house, and the motors in each.

    Args:
        heat: All heating that can run at once [VA].
        cooling: All cooling [VA].
        handlers: Blowers that run with both [VA].
        heat_motors: One Step per single motor in the heating.
        heat_motors_maybe: Compressors that may or may not run in the heating: their supplement may be the larger.
        cooling_motors: The same in the cooling.
        other_motors: All other motors, blowers among them.
    """

    heat: Step
    cooling: Step
    handlers: Step
    heat_motors: tuple[Step, ...]
    heat_motors_maybe: tuple[Step, ...]
    cooling_motors: tuple[Step, ...]
    other_motors: tuple[Step, ...]


def climate(context: Context, prefix: str, items: Sequence[Item]) -> Climate:
    """Heating and cooling by the standard method: everything whole."""
    pumps = of(items, "heat_pump")
    heat = [i.all for i in of(items, "heat")] + [heat_pump_heat(context, i) for i in pumps]
    cooling = [i.all for i in of(items, "cooling")] + [i.all for i in pumps]
    others = [i.each for i in items if i.motor and i.group not in ("heat", "cooling", "heat_pump")]
    return Climate(
        build.total(f"{prefix}/heat", "load.heat", heat),
        build.total(f"{prefix}/cooling", "load.cooling", cooling),
        build.total(f"{prefix}/handlers", "load.handlers", [i.all for i in of(items, "air_handler")]),
        tuple(i.each for i in pumps if runs_in_heating(i) is True),
        tuple(i.each for i in pumps if runs_in_heating(i) is None),
        tuple(i.each for i in (*of(items, "cooling"), *pumps)),
        tuple(others),
    )


def quarter(
    context: Context, ident: str, motors: Sequence[Step], maybe: Sequence[Step] = (), *, unit: str = "VA"
) -> Step:
    """A quarter of the largest single motor, nothing where there is none; `maybe`: motors that may not run."""
    if maybe:
        low = quarter(context, f"{ident}/without", motors, unit=unit)
        high = quarter(context, f"{ident}/with", (*motors, *maybe), unit=unit)
        return build.between_cases(ident, "load.motor_quarter", low, high, unit=unit)
    unique = tuple({id(m): m for m in motors}.values())
    big = build.largest(f"{ident}/largest", "load.largest_motor", unique, unit=unit)
    entry = context.book.value("motor_adder_percent")
    return build.percent_of(ident, "load.motor_quarter", big, entry.number, unit=unit, cite=entry.cite)


def noncoincident(context: Context, prefix: str, c: Climate) -> tuple[Step, tuple[Reading, ...]]:
    """Heating or cooling with the quarter of the largest motor [VA], and the reading it was taken by."""
    cite = context.cite("noncoincident_loads")
    if not c.heat.args or not c.cooling.args:
        everything = (*c.heat_motors, *c.cooling_motors, *c.other_motors)
        step = build.total(
            f"{prefix}/climate", "load.climate", (c.heat, c.cooling, quarter(context, f"{prefix}/motor", everything))
        )
        return step, ()
    larger = build.largest(f"{prefix}/larger", "load.larger_climate", (c.heat, c.cooling), cite=cite)
    if not context.book.rule("noncoincident_loads").readings:
        return _smaller_dropped(context, prefix, c, larger), ()
    heat = build.total(
        f"{prefix}/if_heat",
        "load.if_heat",
        (c.heat, quarter(context, f"{prefix}/if_heat/motor", (*c.heat_motors, *c.other_motors), c.heat_motors_maybe)),
    )
    cool = build.total(
        f"{prefix}/if_cooling",
        "load.if_cooling",
        (c.cooling, quarter(context, f"{prefix}/if_cooling/motor", (*c.cooling_motors, *c.other_motors))),
    )
    every = (*c.heat_motors, *c.cooling_motors, *c.other_motors)
    readings = {
        "per_alternative": build.largest(f"{prefix}/per_alternative", "load.per_alternative", (heat, cool), cite=cite),
        "quarter_of_dropped": build.total(
            f"{prefix}/quarter_of_dropped",
            "load.quarter_of_dropped",
            (larger, quarter(context, f"{prefix}/quarter_of_dropped/motor", every)),
            cite=cite,
        ),
    }
    reading = context.reading("noncoincident_loads")
    step = build.chosen(f"{prefix}/climate", "load.climate", readings, reading.chosen or None, by=reading.by, cite=cite)
    return step, (reading,)


def _smaller_dropped(context: Context, prefix: str, c: Climate, larger: Step) -> Step:
    """Before 2020: the smaller is left out with its motors; outer cases where it is not certain which is smaller."""
    heat, cool = c.heat.value, c.cooling.value
    sure_heat = cool.high is not None and heat.low > cool.high
    sure_cool = heat.high is not None and cool.low >= heat.high
    every = (*c.heat_motors, *c.cooling_motors, *c.other_motors)

    def case(ident: str, motors: Sequence[Step], maybe: Sequence[Step] = ()) -> Step:
        return build.total(ident, "load.climate", (larger, quarter(context, f"{ident}/motor", motors, maybe)))

    if sure_cool and not context.open():
        return case(f"{prefix}/climate", every)
    if sure_heat and not context.open():
        return case(f"{prefix}/climate", (*c.heat_motors, *c.other_motors), c.heat_motors_maybe)
    low = case(f"{prefix}/climate/least", (*c.heat_motors, *c.other_motors))
    return build.between_cases(f"{prefix}/climate", "load.climate", low, case(f"{prefix}/climate/most", every))
