"""What one load takes [VA]: from its nameplate, its motor table, or bounds that a rule or named assumption gives."""

from __future__ import annotations

from decimal import Decimal

from deadfront.codebook import lookup
from deadfront.codebook.kinds import Kind
from deadfront.errors import OutOfTable
from deadfront.job.things import Breaker, Load
from deadfront.loads.rules.context import TYPICAL, Context, load_name, thing_name
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, Interval, between
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

TOLERANCE = Decimal("1.05")


def load_volts(context: Context, load: Load, kind: Kind) -> Step:
    """Volts of a load: as marked, else nominal for its kind and the system."""
    path = context.at.path(load, "volts")
    if load.volts is not None:
        return build.fact(f"load/{load.id}/volts", "load.volts", load.volts, "V", path, inline=True)
    wye = (context.at.house.service.system or "").startswith("208")
    between_legs = "nominal_volts_208" if wye else "nominal_volts_240"
    poles = breaker_poles(context, load)
    if poles is None and kind.volts_vary:
        missing = Missing(
            path, said("todo.volts", thing=thing_name(load.id, load.name, load.kind)), said("todo.how.volts")
        )
        value = between(context.number("nominal_volts_120"), context.number(between_legs))
        return build.fact(f"load/{load.id}/volts", "load.volts", value, "V", path, missing=missing, inline=True)
    one_leg = poles == 1 if poles is not None else kind.volts == 120
    return context.given(f"load/{load.id}/volts", "nominal_volts_120" if one_leg else between_legs)


def breaker_of(context: Context, load: Load) -> Breaker | None:
    """The breaker that a load's circuit hangs on, where both are entered."""
    house = context.at.house
    circuit = next((c for c in house.circuits if c.id == load.circuit), None)
    return next((b for b in house.breakers if circuit is not None and b.id == circuit.breaker), None)


def breaker_poles(context: Context, load: Load) -> int | None:
    """Poles of a load's breaker: as entered, else by the spaces it takes; None where not known.

    One pole means leg to neutral. Two poles may also feed 120 V loads on a shared neutral: then the kind's own volts
    decide, so nothing is said.
    """
    breaker = breaker_of(context, load)
    if breaker is None:
        return None
    poles = breaker.poles or (len(breaker.spaces) if breaker.spaces else None)
    alone = [x.id for x in context.at.house.loads if x.circuit == load.circuit] == [load.id]
    return poles if poles == 1 or alone else None


def missing_plate(context: Context, load: Load, field: str = "nameplate_w") -> Missing:
    """The nameplate as a fact to find out."""
    name = thing_name(load.id, load.name, load.kind)
    return Missing(
        context.at.path(load, field), said("todo.nameplate", thing=name), said(f"todo.how.plate.{load.kind}")
    )


def nameplate_load(context: Context, load: Load, kind: Kind) -> Step:
    """Load of one [VA], a range where its nameplate is not read."""
    ident, name = f"load/{load.id}/each", load_name(context, load)

    def plain(field: str) -> Step:
        return build.fact(ident, name, getattr(load, field), "VA", context.at.path(load, field))

    clash = conflicting(context, load, kind)
    if clash is not None:
        return build.fact(
            ident, name, clash, "VA", context.at.path(load, "nameplate_va"), missing=missing_plate(context, load)
        )
    if load.nameplate_va is not None:
        return plain("nameplate_va")
    if load.nameplate_w is not None:
        return plain("nameplate_w")
    for field in ("nameplate_a", "minimum_circuit_ampacity_a"):
        amperes: Decimal | None = getattr(load, field)
        if amperes is not None:
            current = build.fact(
                f"load/{load.id}/{field}", f"load.{field}", amperes, "A", context.at.path(load, field), inline=True
            )
            return build.product(ident, name, (current, load_volts(context, load, kind)))
    if load.hp is not None:
        return motor_load(context, load, kind)
    return unread_load(context, load, kind)


def conflicting(context: Context, load: Load, kind: Kind) -> Interval | None:
    """The range of nameplate facts that contradict each other by more than 5 percent; None where they agree.

    Watts below volt-amperes are no contradiction: that is a power factor.
    """
    volts = load_volts(context, load, kind).value
    by_va = [] if load.nameplate_va is None else [load.nameplate_va]
    if load.nameplate_a is not None and volts.exact:
        by_va.append(load.nameplate_a * volts.low)
    told = by_va + ([] if load.nameplate_w is None else [load.nameplate_w])
    if len(told) < 2:
        return None
    apart = max(by_va) > min(by_va) * TOLERANCE
    if load.nameplate_w is not None:
        apart |= load.nameplate_w > min(by_va) * TOLERANCE or (
            kind.resistive and load.nameplate_w * TOLERANCE < max(by_va)
        )
    return Interval(min(told), max(told)) if apart else None


def table_volts(volts: Decimal) -> int:
    """Volts of the motor table's column for a supply: 115, 200, 208 or 230."""
    return 115 if volts <= 120 else int(volts) if volts in (200, 208) else 230


def motor_load(context: Context, load: Load, kind: Kind) -> Step:
    """Load of a motor from its horsepower: table current times the table's volts (115, 230, 208 or 200)."""
    volts = load.volts or context.number("nominal_volts_120" if kind.volts == 120 else "nominal_volts_240")
    try:
        found = lookup.motor_current(context.book, str(load.hp), volts)
    except OutOfTable:
        return unread_load(context, load, kind)
    ident = f"load/{load.id}"
    current = build.lookup(
        f"{ident}/table_current",
        "load.table_current",
        found.value,
        "A",
        found.cite,
        table="motor_current_single_phase",
        row=found.row,
        inline=True,
    )
    at = build.given(f"{ident}/table_volts", "load.table_volts", table_volts(volts), "V", found.cite)
    return build.product(f"{ident}/each", load_name(context, load), (current, at))


def unread_load(context: Context, load: Load, kind: Kind) -> Step:
    """Bounds of a load whose nameplate is not read: its own breaker for a resistance element, or a named assumption."""
    ident, name = f"load/{load.id}/each", load_name(context, load)
    missing, path = missing_plate(context, load), context.at.path(load, "nameplate_w")
    if TYPICAL in context.assumptions and kind.typical is not None:
        return build.fact(ident, name, between(*kind.typical), "VA", path, missing=missing, assumed=(TYPICAL,))
    bound = breaker_bound(context, load, kind)
    if bound is None:
        return build.fact(ident, name, UNKNOWN, "VA", path, missing=missing)
    none = build.given(f"load/{load.id}/none", "load.at_least_nothing", 0, "VA", None)
    return build.between_cases(ident, name, none, bound, missing=(missing,))


def breaker_bound(context: Context, load: Load, kind: Kind) -> Step | None:
    """The most that a resistance element alone on its breaker can draw: rating times volts; physics, not code."""
    if not kind.resistive or load.circuit is None or load.quantity != 1:
        return None
    breaker = breaker_of(context, load)
    alone = [x for x in context.at.house.loads if x.circuit == load.circuit] == [load]
    if breaker is None or breaker.rating_a is None or not alone:
        return None
    rating = build.fact(
        f"load/{load.id}/breaker",
        "load.breaker_rating",
        Interval(breaker.rating_a, breaker.rating_a),
        "A",
        context.at.path(breaker, "rating_a"),
        inline=True,
    )
    return build.product(f"load/{load.id}/bound", "load.breaker_bound", (rating, load_volts(context, load, kind)))
