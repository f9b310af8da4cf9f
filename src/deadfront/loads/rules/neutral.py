"""The neutral load: the largest unbalance between the neutral and any one ungrounded conductor."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.cooking import cooking_demand
from deadfront.loads.rules.dryers import dryer_demand
from deadfront.loads.rules.fastened import sure_counting
from deadfront.loads.rules.hvac import climate, quarter
from deadfront.loads.rules.items import Item, of
from deadfront.quantities import point
from deadfront.worksheet import build
from deadfront.worksheet.step import Step


def from_wye(context: Context) -> bool:
    """True for two legs and the neutral of a four-wire wye: no reduction is allowed."""
    return context.at.house.service.system == "208Y/120 1ph 3w"


def _reduced(context: Context, ident: str, step: Step | None, share: str) -> list[Step]:
    """Cooking or dryers after their demand, at 70 percent unless taken from a wye."""
    if step is None:
        return []
    if from_wye(context):
        return [step]
    return [build.percent_of(ident, step.name, step, context.number(share), cite=context.book.value(share).cite)]


def _fastened(context: Context, prefix: str, items: Sequence[Item]) -> list[Step]:
    """Appliances on the neutral, at the percent that they take in the whole load."""
    users = [i for i in items if i.neutral]
    if not users:
        return []
    if context.book.barred("fastened_appliances"):
        return [build.total(f"{prefix}/fastened", "load.fastened", [i.all for i in users])]
    sure = sure_counting(context, items, users)
    if sure is not None:
        return [_fastened_case(context, f"{prefix}/fastened", users, sure.counted, sure.percent)]
    least = _fastened_case(
        context,
        f"{prefix}/fastened/least",
        users,
        frozenset(i.load.id for i in users),
        context.number("fastened_percent"),
    )
    most = build.total(f"{prefix}/fastened/most", "load.fastened", [i.all for i in users])
    return [build.between_cases(f"{prefix}/fastened", "load.fastened", least, most)]


def _fastened_case(
    context: Context, ident: str, users: Sequence[Item], counted: frozenset[str], percent: Decimal
) -> Step:
    inside = build.total(f"{ident}/counted", "load.fastened_counted", [i.all for i in users if i.load.id in counted])
    if percent != 100 and inside.args:
        inside = build.percent_of(
            f"{ident}/demand", "load.fastened_demand", inside, percent, cite=context.cite("fastened_appliances")
        )
    rest = [i.all for i in users if i.load.id not in counted]
    return build.total(ident, "load.fastened", (inside, *rest)) if rest else inside


def _climate(context: Context, prefix: str, items: Sequence[Item]) -> Step:
    """Heating or cooling on the neutral, the larger, with the quarter of the largest motor on the neutral."""
    users = [i for i in items if i.neutral]
    parts = climate(context, prefix, users)
    larger = build.largest(
        f"{prefix}/larger", "load.larger_climate", (parts.heat, parts.cooling), cite=context.cite("noncoincident_loads")
    )
    motors = (*parts.heat_motors, *parts.heat_motors_maybe, *parts.cooling_motors, *parts.other_motors)
    return build.total(f"{prefix}/climate", "load.climate", (larger, quarter(context, f"{prefix}/motor", motors)))


def neutral_load(
    context: Context, prefix: str, items: Sequence[Item], lighting: Step, cooking: Step | None, dryers: Step | None
) -> Step:
    """Neutral load [VA] from the parts of the standard method; loads between the legs alone add nothing."""
    parts = [lighting]
    cooks, dries = of(items, "cooking"), of(items, "dryer")
    if not all(i.neutral for i in cooks):
        cooking = cooking_demand(context, prefix, [i for i in cooks if i.neutral])
    if not all(i.neutral for i in dries):
        dryers = dryer_demand(context, prefix, [i for i in dries if i.neutral])
    parts += _reduced(context, f"{prefix}/cooking/share", cooking, "neutral_cooking_percent")
    parts += _reduced(context, f"{prefix}/dryers/share", dryers, "neutral_dryer_percent")
    parts += _fastened(context, prefix, of(items, "fastened"))
    parts += [i.all for i in of(items, "other", "evse", "air_handler") if i.neutral]
    parts.append(_climate(context, prefix, items))
    if context.open():
        parts.append(context.unlisted(prefix))
    return build.total(f"{prefix}/load", "load.neutral", parts, cite=context.cite("neutral_load"))


def neutral_amperes(context: Context, prefix: str, load: Step, volts: Step) -> Step:
    """Neutral current [A]: the part above 200 A at 70 percent, unless taken from a wye."""
    light = next((a for a in load.args if a.id == "standard/lighting"), None)
    if from_wye(context) and light is not None:
        both = context.given("service/volts_both_legs", "nominal_volts_240")
        rest = build.total(f"{prefix}/rest", "load.other_than_lighting", [a for a in load.args if a is not light])
        first = build.quotient(f"{prefix}/lighting_amperes", "load.lighting_amperes", light, both)
        second = build.quotient(f"{prefix}/rest_amperes", "load.rest_amperes", rest, volts)
        cite = context.cite("neutral_wye")
        return build.total(f"{prefix}/full", "load.neutral_amperes", (first, second), unit="A", cite=cite)
    amperes = build.quotient(f"{prefix}/full", "load.neutral_amperes", load, volts)
    limit = context.number("neutral_over_a")
    if from_wye(context) or (amperes.value.high is not None and amperes.value.high <= limit):
        return amperes
    tiers = ((limit, point(100).low), (None, context.number("neutral_over_200_a_percent")))
    return build.tiered(
        f"{prefix}/amperes",
        "load.neutral_amperes",
        amperes,
        tiers,
        unit="A",
        cite=context.book.value("neutral_over_200_a_percent").cite,
    )
