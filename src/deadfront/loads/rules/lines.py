"""The load of each ungrounded conductor [A]: what 120 V loads do to one leg, added line by line (Example D1(b))."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.cooking import cooking_demand
from deadfront.loads.rules.dryers import dryer_demand
from deadfront.loads.rules.evse import evse_demand
from deadfront.loads.rules.hvac import heat_pump_heat, quarter
from deadfront.loads.rules.items import Item, of
from deadfront.loads.rules.lighting import lighting_demand
from deadfront.loads.rules.nameplate import load_volts
from deadfront.msg import said
from deadfront.quantities import ZERO, Interval
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

LEGS = ("L1", "L2")


def leg_of(context: Context, item: Item) -> str | None:
    """Leg of a 120 V load from its breaker's space: rows alternate L1, L2 (common practice); None if unknown."""
    house = context.at.house
    circuit = next((c for c in house.circuits if c.id == item.load.circuit), None)
    breaker = next((b for b in house.breakers if circuit is not None and b.id == circuit.breaker), None)
    if breaker is None or len(breaker.spaces) != 1:
        return None
    return LEGS[((breaker.spaces[0] + 1) // 2 - 1) % 2]


def one_leg(item: Item) -> bool:
    """True for a load between one leg and the neutral."""
    volts = item.load.volts
    return volts < 140 if volts is not None else item.kind.volts == 120


def _amperes(context: Context, prefix: str, item: Item, on: bool | None) -> Step:
    """Amperes of a 120 V entry on one leg; between none and all where its leg is not known."""
    ident = f"{prefix}/{item.load.id}"
    step = build.quotient(f"{ident}/amperes", item.each.name, item.all, load_volts(context, item.load, item.kind))
    if on is not None:
        return step
    name = item.each.name
    path = context.at.path(item.load, "circuit")
    missing = Missing(path, said("todo.leg", thing=name), said("todo.how.leg"))
    value = Interval(ZERO, step.value.high)
    return build.fact(f"{ident}/either", name, value, "A", path, missing=missing)


def _both_legs(context: Context, prefix: str, items: Sequence[Item], heating: bool) -> Step:
    """What loads both legs alike [VA]: lighting, and all loads between the legs."""
    between = [i for i in items if not one_leg(i)]
    parts = [lighting_demand(context, prefix)]
    parts += [
        s
        for s in (
            cooking_demand(context, prefix, of(items, "cooking")),
            dryer_demand(context, prefix, of(items, "dryer")),
        )
        if s
    ]
    parts += [i.all for i in of(between, "fastened", "other", "air_handler")]
    evse = evse_demand(context, prefix, of(between, "evse"))
    if evse is not None:
        parts.append(evse)
    pumps = of(between, "heat_pump")
    if heating:
        parts += [i.all for i in of(between, "heat")] + [heat_pump_heat(context, i) for i in pumps]
    else:
        parts += [i.all for i in of(between, "cooling", "heat_pump")]
    if context.open():
        parts.append(context.unlisted(prefix))
    return build.total(f"{prefix}/both_legs", "load.both_legs", parts)


def _single(items: Sequence[Item], heating: bool) -> list[Item]:
    groups = ("fastened", "other", "air_handler", "evse", "heat" if heating else "cooling")
    return [i for i in of(items, *groups) if one_leg(i)]


def _line(context: Context, prefix: str, leg: str, items: Sequence[Item], heating: bool, volts: Step) -> Step:
    """Amperes of one leg: what both carry, its own 120 V loads, a quarter of the largest motor on it."""
    ident = f"{prefix}/{leg.lower()}"
    parts = [build.quotient(f"{ident}/both", "load.both_legs", _both_legs(context, prefix, items, heating), volts)]
    motors: list[Step] = []
    for item in _single(items, heating):
        mine = leg_of(context, item)
        if mine not in (None, leg):
            continue
        amperes = _amperes(context, ident, item, None if mine is None else True)
        parts.append(amperes)
        if item.motor and item.number == 1:
            motors.append(amperes)
    for item in items:
        skip = item.group == ("cooling" if heating else "heat")
        if item.motor and not one_leg(item) and not skip:
            motors.append(build.quotient(f"{ident}/{item.load.id}/motor", item.each.name, item.each, volts))
    parts.append(quarter(context, f"{ident}/motor", motors, unit="A"))
    return build.total(f"{ident}/amperes", said("load.line_amperes", leg=leg), parts, unit="A")


def line_amperes(context: Context, items: Sequence[Item], volts: Step, prefix: str = "lines") -> tuple[Step, Step]:
    """Amperes of L1 and L2 by the standard method, line by line; the worse of heating and cooling.

    Appliances fastened in place are taken whole: the demand for four or more is a demand on the service, not on a leg.
    """
    lines = []
    for leg in LEGS:
        ident = f"{prefix}/{leg.lower()}"
        cases = [
            _line(context, f"{prefix}/{'heat' if heating else 'cool'}", leg, items, heating, volts)
            for heating in (True, False)
        ]
        worst = build.largest(
            f"{ident}", said("load.line_amperes", leg=leg), cases, unit="A", cite=context.cite("dwelling_standard_load")
        )
        lines.append(worst)
    return lines[0], lines[1]
