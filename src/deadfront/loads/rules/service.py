"""The service: disconnect, conductors, meter socket, bus, the utility's allowance; the smallest of them counts."""

from __future__ import annotations

from decimal import Decimal

from deadfront.codebook import lookup
from deadfront.errors import OutOfTable
from deadfront.job.things import Conductors, Panel
from deadfront.loads.rules.context import DISCONNECT_SMALLEST, Context
from deadfront.loads.rules.several import unit_count
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, Interval
from deadfront.results.loads import ServiceLimit
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


def _place(context: Context, field: str) -> str:
    return f"before/service.{field}"


def _rating(ident: str, name: str, value: Decimal | None, path: str) -> Step:
    """A marked rating, or a part of the service still to be read."""
    if value is not None:
        return build.fact(ident, name, value, "A", path)
    missing = Missing(path, said(f"todo.{name}"), said(f"todo.how.{name}"))
    return build.fact(ident, name, UNKNOWN, "A", path, missing=missing)


def utility_allowance(context: Context) -> Step:
    """What the utility allows: "none" is a fact and bounds nothing."""
    utility = context.at.house.service.utility
    ident, name = "service/utility", "service.utility"
    if utility.limit_a is not None:
        return build.fact(ident, name, utility.limit_a, "A", _place(context, "utility.limit_a"))
    path = _place(context, "utility.limit")
    if utility.limit == "none":
        return build.fact(ident, "service.utility_none", Interval(Decimal(100000), None), "A", path)
    return _rating(ident, name, None, path if utility.limit is None else _place(context, "utility.limit_a"))


def service_panels(context: Context) -> tuple[Panel, ...]:
    """Panels fed by the service, else the only panel there is."""
    panels = context.at.house.panels
    fed = tuple(p for p in panels if p.fed_by == "service")
    return fed or (panels if len(panels) == 1 else ())


def bus_ratings(context: Context) -> list[Step]:
    """Bus rating of every panel that the service feeds."""
    steps = [
        _rating(f"service/bus/{p.id}", "service.bus", p.bus_a, context.at.path(p, "bus_a"))
        for p in service_panels(context)
    ]
    return steps or [_rating("service/bus", "service.bus", None, "before/complete.panels")]


def meter_sockets(context: Context) -> list[Step]:
    """Rating of the utility meter socket; unknown while no meter is entered."""
    meters = [m for m in context.at.house.meters if m.purpose == "utility"]
    steps = [
        _rating(f"service/meter/{m.id}", "service.meter", m.socket_a, context.at.path(m, "socket_a")) for m in meters
    ]
    return steps or [_rating("service/meter", "service.meter", None, "before/complete.meters")]


def _unknown_conductors(context: Context, c: Conductors) -> Missing | None:
    """The first fact that the conductors' rating waits for."""
    for field, value in (("size", c.size), ("metal", c.metal), ("needs_correction", c.needs_correction)):
        if value is None:
            path = _place(context, f"conductors.{field}")
            return Missing(path, said(f"todo.service.conductors.{field}"), said(f"todo.how.service.conductors.{field}"))
    return None


def conductor_rating(context: Context) -> Step:
    """What the service conductors carry [A]: by the 83 percent rule for one dwelling, else their ampacity."""
    c = context.at.house.service.conductors
    ident, name = "service/conductors", said("service.conductors")
    missing = _unknown_conductors(context, c)
    path = _place(context, "conductors.size")
    if missing is not None and missing.path.endswith(("size", "metal")):
        return build.fact(ident, name, UNKNOWN, "A", path, missing=missing)
    assert c.size is not None and c.metal is not None
    plain = c.needs_correction is False
    inner = ident if plain else f"{ident}/uncorrected"
    try:
        step = _whole_dwelling(context, c, name, inner) or _by_ampacity(context, c, name, inner)
    except OutOfTable as error:
        return build.fact(
            ident, name, UNKNOWN, "A", path, missing=Missing(path, error.msg, said("todo.how.service.conductors.size"))
        )
    if plain:
        return step
    # Corrected ampacity is not computed from the survey alone: the uncorrected figure is an upper bound.
    lacking = missing or Missing(
        _place(context, "conductors.needs_correction"),
        said("todo.service.conductors.corrected"),
        said("todo.how.service.conductors.corrected"),
    )
    none = build.given(f"{ident}/none", "load.at_least_nothing", 0, "A", None)
    return build.between_cases(ident, name, none, step, unit="A", missing=(lacking,))


def eighty_three_applies(context: Context) -> bool:
    """Whether the conductors carry the whole load of one dwelling on a system that the 83 percent rule reaches."""
    system = context.at.house.service.system
    rule = context.book.rule("service_conductors_83")
    single = system == "120/240 1ph 3w" or (system == "208Y/120 1ph 3w" and bool(rule.params.get("two_legs_of_wye")))
    return single and unit_count(context) <= 1


def _whole_dwelling(context: Context, c: Conductors, name: Msg, ident: str) -> Step | None:
    """The largest standard rating whose 83 percent the conductors carry; None where the rule does not reach."""
    if not eighty_three_applies(context) or (c.sets or 1) != 1:
        return None
    assert c.size is not None and c.metal is not None
    found = lookup.dwelling_rating(context.book, c.size, c.metal)
    if found is None:
        return None
    amps = lookup.ampacity(context.book, c.size, c.metal, 75)
    carried = build.lookup(
        "service/conductors/ampacity",
        said("service.ampacity", size=c.size, metal=said(f"metal.{c.metal}"), celsius=75),
        amps.value,
        "A",
        amps.cite,
        table="conductor_ampacity",
        row=amps.row,
    )
    row = f"{c.size} {c.metal}"
    return build.lookup(
        ident,
        name,
        found.value,
        "A",
        found.cite,
        table="dwelling_service_conductors",
        row=row,
        args=(carried,),
    )


def _by_ampacity(context: Context, c: Conductors, name: Msg, ident: str) -> Step:
    """Ampacity at the terminals' temperature; up to 100 A an unread marking leaves 60 to 75 C open."""
    assert c.size is not None and c.metal is not None
    hot = lookup.ampacity(context.book, c.size, c.metal, 75)
    cool = lookup.ampacity(context.book, c.size, c.metal, 60)

    def at(celsius: int, found: lookup.Found[Decimal], whole: str) -> Step:
        one = build.lookup(
            f"service/conductors/ampacity_{celsius}",
            said("service.ampacity", size=c.size, metal=said(f"metal.{c.metal}"), celsius=celsius),
            found.value,
            "A",
            found.cite,
            table="conductor_ampacity",
            row=found.row,
        )
        sets = build.fact(
            "service/conductors/sets", "service.sets", c.sets or 1, "", _place(context, "conductors.sets"), inline=True
        )
        return build.product(whole, name, (sets, one), unit="A")

    if c.terminals_c == 75:
        return at(75, hot, ident)
    if c.terminals_c == 60:
        return at(60, cool, ident)
    missing = Missing(_place(context, "conductors.terminals_c"), said("todo.terminals"), said("todo.how.terminals"))
    cold, warm = at(60, cool, f"{ident}/all_60"), at(75, hot, f"{ident}/all_75")
    return build.between_cases(ident, name, cold, warm, unit="A", missing=(missing,))


def _assumed_ample(step: Step) -> Step:
    """A part not read yet, taken as no smaller than the disconnect by the named assumption."""
    if step.value.low > 0 or step.id == "service/disconnect":
        return step
    return build.fact(
        step.id,
        step.name,
        Interval(Decimal(100000), None),
        "A",
        step.path,
        missing=next(iter(step.all_missing()), None),
        assumed=(DISCONNECT_SMALLEST,),
    )


def service_limit(context: Context) -> ServiceLimit:
    """All parts of the service, and the smallest."""
    disconnect = _rating(
        "service/disconnect",
        "service.disconnect",
        context.at.house.service.disconnect.rating_a,
        _place(context, "disconnect.rating_a"),
    )
    parts = (
        disconnect,
        conductor_rating(context),
        *meter_sockets(context),
        *bus_ratings(context),
        utility_allowance(context),
    )
    if DISCONNECT_SMALLEST in context.assumptions:
        parts = tuple(_assumed_ample(part) for part in parts)
    limits = [p for p in parts if p.name.key != "service.utility_none"]
    smallest = build.least("service/limit", "service.limit", limits, unit="A")
    known = [p for p in parts if p.value.high is not None]
    limiting = min(known, key=lambda p: p.value.high or Decimal(0)).id if known else ""
    return ServiceLimit(parts, smallest, limiting)
