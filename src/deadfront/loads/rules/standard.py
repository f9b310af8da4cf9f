"""The standard method: every part with its own demand, added up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.cooking import cooking_demand
from deadfront.loads.rules.dryers import dryer_demand
from deadfront.loads.rules.evse import evse_demand
from deadfront.loads.rules.fastened import fastened_demand
from deadfront.loads.rules.hvac import climate, noncoincident
from deadfront.loads.rules.items import Item, of
from deadfront.loads.rules.lighting import lighting_demand
from deadfront.loads.rules.neutral import neutral_load
from deadfront.results.loads import Reading
from deadfront.worksheet import build
from deadfront.worksheet.step import Step


@dataclass(frozen=True)
class Standard:
    """The standard method's total [VA], its neutral [VA], and the readings it was taken by."""

    total: Step
    neutral: Step
    readings: tuple[Reading, ...]


def standard_load(
    context: Context, items: Sequence[Item], prefix: str = "standard", *, lighting: bool = True
) -> Standard:
    """Calculated load of everything on the service by the standard method.

    Args:
        items: All loads on the service.
        prefix: First part of the Step ids.
        lighting: False for house loads alone, whose dwelling units are calculated elsewhere.
    """
    light = (
        lighting_demand(context, prefix) if lighting else build.total(f"{prefix}/lighting", "load.lighting_demand", ())
    )
    cooking = cooking_demand(context, prefix, of(items, "cooking"))
    dryers = dryer_demand(context, prefix, of(items, "dryer"))
    fastened = of(items, "fastened")
    parts = [light] if lighting else []
    parts += [step for step in (cooking, dryers) if step is not None]
    if fastened:
        parts.append(fastened_demand(context, prefix, fastened))
    evse = evse_demand(context, prefix, of(items, "evse"))
    if evse is not None:
        parts.append(evse)
    climate_parts = climate(context, prefix, items)
    if climate_parts.handlers.args:
        parts.append(climate_parts.handlers)
    cool_or_heat, readings = noncoincident(context, prefix, climate_parts)
    parts.append(cool_or_heat)
    parts += [i.all for i in of(items, "other")]
    if context.open():
        parts.append(context.unlisted(prefix))
    total = build.total(
        f"{prefix}/total", "load.total", _closed(context, prefix, parts), cite=context.cite("dwelling_standard_load")
    )
    if of(items, "cooking"):
        readings = (*readings, context.reading("cooking_demand"))
    return Standard(total, neutral_load(context, f"{prefix}/neutral", items, light, cooking, dryers), readings)


def _closed(context: Context, prefix: str, parts: list[Step]) -> list[Step]:
    """The parts, with the named assumption that closes the list of loads as a line of its own."""
    assumed = context.closing_assumption()
    if not assumed:
        return parts
    path = "before/complete.loads"
    return [*parts, build.fact(f"{prefix}/nothing_else", "load.nothing_else", 0, "VA", path, assumed=assumed)]
