"""The service: disconnect, conductors, meter socket, bus, the utility's allowance; the smallest of them counts."""

from __future__ import annotations

from dataclasses import replace
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


def _unknown_conductors(context: Context, c: Conductors, *fields: str) -> tuple[Missing, ...]:
    """The facts of the conductors that are not entered."""
    return tuple(
        Missing(
            _place(context, f"conductors.{field}"),
            said(f"todo.service.conductors.{field}"),
            said(f"todo.how.service.conductors.{field}"),
        )
        for field in fields
        if getattr(c, field) is None
    )


def conductor_rating(context: Context) -> Step:
    """What the service conductors carry [A]: by the 83 percent rule for one dwelling, else their ampacity.

    Correction for heat or bundling is worked by hand and entered; until then the uncorrected figure is an upper bound.
    """
    c = context.at.house.service.conductors
    ident, name, path = "service/conductors", said("service.conductors"), _place(context, "conductors.size")
    missing = _unknown_conductors(context, c, "size", "metal", "needs_correction")
    if c.size is None or c.metal is None:
        return replace(build.fact(ident, name, UNKNOWN, "A", path), missing=missing)
    known = c.needs_correction is False or (c.needs_correction and c.corrected_ampacity_a is not None)
    inner = ident if known else f"{ident}/uncorrected"
    try:
        step = _carried(context, c, name, inner)
    except OutOfTable as error:
        lacks = Missing(path, error.msg, said("todo.how.service.conductors.size"))
        return build.fact(ident, name, UNKNOWN, "A", path, missing=lacks)
    if known:
        return step
    lacking = missing or _unknown_conductors(context, c, "corrected_ampacity_a")
    none = build.given(f"{ident}/none", "load.at_least_nothing", 0, "A", None)
    return build.between_cases(ident, name, none, step, unit="A", missing=lacking)


def _carried(context: Context, c: Conductors, name: Msg, ident: str) -> Step:
    """What conductors of known size carry [A]; between both rules while the system is not known."""
    if context.at.house.service.system is not None or unit_count(context) > 1:
        return _whole_dwelling(context, c, name, ident) or _by_ampacity(context, c, name, ident)
    plain = _by_ampacity(context, c, name, f"{ident}/plain")
    whole = _whole_dwelling(context, c, name, f"{ident}/whole", system_known=False)
    if whole is None:
        return replace(plain, id=ident)
    both = (
        build.least(f"{ident}/least", name, (plain, whole), unit="A"),
        build.largest(f"{ident}/most", name, (plain, whole), unit="A"),
    )
    missing = Missing("before/service.system", said("todo.service.system"), said("todo.how.service.system"))
    return build.between_cases(ident, name, *both, unit="A", missing=(missing,))


def eighty_three_applies(context: Context) -> bool:
    """Whether the conductors carry the whole load of one dwelling on a system that the 83 percent rule reaches."""
    system = context.at.house.service.system
    rule = context.book.rule("service_conductors_83")
    single = system == "120/240 1ph 3w" or (system == "208Y/120 1ph 3w" and bool(rule.params.get("two_legs_of_wye")))
    return single and unit_count(context) <= 1


def ampacity(context: Context, c: Conductors, celsius: int, ident: str) -> Step:
    """Ampacity of one set [A]: entered after correction, else of the table's column."""
    assert c.size is not None and c.metal is not None
    if c.needs_correction and c.corrected_ampacity_a is not None:
        path = _place(context, "conductors.corrected_ampacity_a")
        return build.fact(ident, "service.corrected", c.corrected_ampacity_a, "A", path)
    found = lookup.ampacity(context.book, c.size, c.metal, celsius)
    name = said("service.ampacity", size=c.size, metal=said(f"metal.{c.metal}"), celsius=celsius)
    return build.lookup(ident, name, found.value, "A", found.cite, table="conductor_ampacity", row=found.row)


def _whole_dwelling(
    context: Context, c: Conductors, name: Msg, ident: str, *, system_known: bool = True
) -> Step | None:
    """The largest standard rating whose 83 percent the conductors carry; None where the rule does not reach.

    Terminals marked 60 C hold the conductors to that column; unmarked ones are taken at 75 C, as the printed table is.
    """
    if (system_known and not eighty_three_applies(context)) or (c.sets or 1) != 1:
        return None
    if context.book.barred("service_conductors_83"):
        return None
    carried = ampacity(context, c, c.terminals_c or 75, f"{ident}/ampacity")
    percent = context.book.value("service_conductor_percent")
    ratings = [row["rating_a"] for row in context.book.table("dwelling_service_conductors").rows]
    fit = [x for x in ratings if isinstance(x, Decimal) and x * percent.number <= carried.value.low * 100]
    if not fit:
        return None
    cites = (percent.cite, context.cite("service_conductors_83"))
    return replace(
        build.lookup(
            ident,
            name,
            max(fit),
            "A",
            percent.cite,
            table="dwelling_service_conductors",
            row=f"{c.size} {c.metal}",
            args=(carried,),
        ),
        cites=tuple(dict.fromkeys(cites)),
    )


def _by_ampacity(context: Context, c: Conductors, name: Msg, ident: str) -> Step:
    """Ampacity at the terminals' temperature; an unread marking leaves 60 to 75 C open."""

    def at(celsius: int, whole: str) -> Step:
        one = ampacity(context, c, celsius, f"service/conductors/ampacity_{celsius}")
        path = _place(context, "conductors.sets")
        sets = build.fact("service/conductors/sets", "service.sets", c.sets or 1, "", path, inline=True)
        return build.product(whole, name, (sets, one), unit="A")

    if c.terminals_c is not None or (c.needs_correction and c.corrected_ampacity_a is not None):
        return at(c.terminals_c or 75, ident)
    missing = Missing(_place(context, "conductors.terminals_c"), said("todo.terminals"), said("todo.how.terminals"))
    cold, warm = at(60, f"{ident}/all_60"), at(75, f"{ident}/all_75")
    return build.between_cases(ident, name, cold, warm, unit="A", missing=(missing,))


def _assumed_ample(step: Step, disconnect: Step) -> Step:
    """A part not read yet, taken as no smaller than the disconnect by the named assumption."""
    if step.value.low > 0 or step.id == disconnect.id:
        return step
    value = Interval(disconnect.value.low, None)
    ample = build.fact(step.id, step.name, value, "A", step.path, assumed=(DISCONNECT_SMALLEST,))
    return replace(ample, missing=step.all_missing())


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
        parts = tuple(_assumed_ample(part, disconnect) for part in parts)
    limits = [p for p in parts if p.name.key != "service.utility_none"]
    smallest = build.least("service/limit", "service.limit", limits, unit="A")
    known = [p for p in parts if p.value.high is not None]
    limiting = min(known, key=lambda p: p.value.high or Decimal(0)).id if known else ""
    return ServiceLimit(parts, smallest, limiting)
