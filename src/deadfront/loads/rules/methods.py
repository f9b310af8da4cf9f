"""The methods side by side: which may be used and why, what each gives, how it stands against the service."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from deadfront.errors import EditionNotEncoded, OutOfTable
from deadfront.loads.rules.context import Context, unit_name
from deadfront.loads.rules.existing import existing_load
from deadfront.loads.rules.items import Item
from deadfront.loads.rules.management import managed_load, service_system
from deadfront.loads.rules.measured import evidence_of, measured_load
from deadfront.loads.rules.neutral import neutral_amperes
from deadfront.loads.rules.optional import optional_load
from deadfront.loads.rules.several import multifamily_load, needs_not_met, two_family_load, unit_count
from deadfront.loads.rules.standard import standard_load
from deadfront.loads.rules.volts import service_volts as service_volts
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN
from deadfront.results.loads import Method, Reading, ServiceLimit
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

ORDER = ("standard", "optional", "existing", "two_family", "multifamily", "measured", "energy_management")
MOBILE = "mobile_home"
SUBJECT = {
    "standard": "dwelling_standard_load",
    "optional": "dwelling_optional_load",
    "existing": "existing_dwelling_load",
    "two_family": "two_family_load",
    "multifamily": "multifamily_load",
    "measured": "measured_demand",
    "energy_management": "energy_management_load",
    "mobile_home": "mobile_home_load",
}


@dataclass(frozen=True)
class May:
    """Whether a method may be used, why, and the facts that hangs on."""

    outcome: Outcome
    why: Msg
    missing: tuple[Missing, ...] = ()


def _not_here(context: Context, key: str) -> May | None:
    """Refusals by the book: this edition's text is not held, or an amendment bars the method."""
    subject = SUBJECT[key]
    try:
        context.book.rule(subject)
    except EditionNotEncoded as error:
        return May(Outcome.CANNOT_TELL, error.msg)
    barred = context.book.barred(subject)
    return May(Outcome.FAILS, said("load.may.barred", amendment=barred)) if barred else None


def _wire_system(context: Context) -> May | None:
    """Methods for one dwelling need a single-phase three-wire service."""
    system = context.at.house.service.system
    if system is None:
        missing = Missing("before/service.system", said("todo.service.system"), said("todo.how.service.system"))
        return May(Outcome.CANNOT_TELL, said("load.may.system_unknown"), (missing,))
    if system == "208Y/120 3ph 4w":
        return May(Outcome.FAILS, said("load.may.three_phase"))
    return None


def may_optional(context: Context, limit: ServiceLimit) -> May:
    """The optional method: one dwelling, one three-wire service or feeder of at least 100 A."""
    if unit_count(context) > 1:
        return May(Outcome.FAILS, said("load.may.several_units"))
    system = _wire_system(context)
    if system is not None:
        return system
    least = context.number("optional_service_min_a")
    for part in limit.parts:
        if part.id not in ("service/disconnect", "service/conductors"):
            continue
        if part.value.high is not None and part.value.high < least:
            return May(Outcome.FAILS, said("load.may.under_100", part=part.name, rating=part.value))
        if part.value.low < least:
            return May(Outcome.CANNOT_TELL, said("load.may.rating_unknown", part=part.name), part.all_missing())
    return May(Outcome.MEETS, said("load.may.one_dwelling"))


def may_existing(context: Context) -> May:
    """The existing dwelling's method: it must stand already."""
    if unit_count(context) > 1:
        return May(Outcome.FAILS, said("load.may.several_units"))
    if context.existing is None:
        missing = Missing("job.existing", said("todo.job.existing"), said("todo.how.job.existing"))
        return May(Outcome.CANNOT_TELL, said("load.may.existing_unknown"), (missing,))
    if not context.existing:
        return May(Outcome.FAILS, said("load.may.not_existing"))
    system = _wire_system(context)
    return system or May(Outcome.MEETS, said("load.may.existing"))


def may_two_family(context: Context) -> May:
    """The two-family method: exactly two dwelling units."""
    if unit_count(context) != 2:
        return May(Outcome.NOT_APPLICABLE, said("load.may.not_two", count=unit_count(context)))
    return May(Outcome.MEETS, said("load.may.two_units"))


def may_multifamily(context: Context, items: Sequence[Item]) -> May:
    """The multifamily method: three or more units, each with electric cooking, and heat, cooling or both."""
    if unit_count(context) < 3:
        return May(Outcome.NOT_APPLICABLE, said("load.may.not_three", count=unit_count(context)))
    lacking = needs_not_met(context, items)
    if lacking:
        first = lacking[0]
        why = said(f"load.may.lacks_{first.lacks}", unit=unit_name(context, first.unit))
        if context.at.house.complete.loads == "yes":
            return May(Outcome.FAILS, why)
        missing = Missing("before/complete.loads", said("todo.complete.loads"), said("todo.how.walk"))
        return May(Outcome.CANNOT_TELL, why, (missing,))
    return _one_feeder(context) or May(Outcome.MEETS, said("load.may.three_units"))


def _one_feeder(context: Context) -> May | None:
    """Every unit of the multifamily method is supplied by one feeder; None where that is known."""
    lacking = [u for u in context.at.house.units if u.one_feeder is not True]
    if not lacking:
        return None
    unit = lacking[0]
    name = unit_name(context, unit)
    if unit.one_feeder is False:
        return May(Outcome.FAILS, said("load.may.several_feeders", unit=name))
    missing = tuple(
        Missing(
            context.at.path(u, "one_feeder"),
            said("todo.one_feeder", unit=unit_name(context, u)),
            said("todo.how.one_feeder"),
        )
        for u in lacking
    )
    return May(Outcome.CANNOT_TELL, said("load.may.feeder_unknown", unit=name), missing)


def may_management(context: Context) -> May:
    """The energy-management limit: a system on the service with its facts on file."""
    limit = service_system(context)
    if limit.system is None:
        return May(Outcome.NOT_APPLICABLE, said("load.may.no_management"))
    if limit.counts:
        return May(Outcome.MEETS, said("load.may.management"))
    if limit.missing:
        return May(Outcome.CANNOT_TELL, said("load.may.management_facts"), limit.missing)
    return May(Outcome.FAILS, said("load.may.management_unfit"))


def may_measured(context: Context) -> May:
    """The measured demand: a recording of the service that may stand; else the best reason why none may."""
    every = evidence_of(context)
    if not every:
        return May(Outcome.NOT_APPLICABLE, said("load.may.no_recording"))
    system = _wire_system(context)
    if system is not None:
        return system
    best = min(every, key=lambda each: (Outcome.MEETS, Outcome.CANNOT_TELL, Outcome.FAILS).index(each.outcome))
    return May(best.outcome, best.why, best.missing)


def _amperes(context: Context, key: str, total: Step) -> Step:
    """Amperes at the service; two legs of a wye carry the lighting between leg and neutral (Example D5's form)."""
    if context.at.house.service.system == "208Y/120 1ph 3w" and key == "standard":
        light = next((a for a in total.args if a.id == "standard/lighting"), None)
        if light is not None:
            both = context.given("service/volts_both_legs", "nominal_volts_240")
            rest = build.total("standard/rest", "load.other_than_lighting", [a for a in total.args if a is not light])
            first = build.quotient("standard/lighting_amperes", "load.lighting_amperes", light, both)
            second = build.quotient("standard/rest_amperes", "load.rest_amperes", rest, service_volts(context))
            return build.total("standard/amperes", "load.amperes", (first, second), unit="A")
    return build.quotient(f"{key}/amperes", "load.amperes", total, service_volts(context))


@dataclass(frozen=True)
class Found:
    """What a method gave: total [VA], readings, and the neutral [VA] where it has one."""

    total: Step
    readings: tuple[Reading, ...] = ()
    neutral: Step | None = None


def _calculate(
    context: Context, key: str, items: Sequence[Item], limit: ServiceLimit, prefix: str | None = None
) -> Found:
    prefix = prefix or key
    if key == "standard":
        standard = standard_load(context, items, prefix)
        return Found(standard.total, standard.readings, standard.neutral)
    if key == "energy_management":
        system = service_system(context).system
        assert system is not None

        def rest_of(rest: Sequence[Item]) -> Step | None:
            return _best_of_rest(context, rest, limit)

        return Found(managed_load(context, system, items, rest_of, service_volts(context)))
    by: dict[str, Callable[[Context, Sequence[Item], str], tuple[Step, tuple[Reading, ...]]]] = {
        "optional": optional_load,
        "existing": existing_load,
        "two_family": two_family_load,
        "multifamily": multifamily_load,
        "measured": measured_load,
    }
    return Found(*by[key](context, items, prefix))


def _best_of_rest(context: Context, rest: Sequence[Item], limit: ServiceLimit) -> Step | None:
    """What the system cannot hold down [VA]: the least by any admissible method; unknown where none may be used."""
    totals = []
    for key in ("standard", "optional", "existing", "multifamily"):
        if _may(context, key, rest, limit).outcome is Outcome.MEETS:
            totals.append(_calculate(context, key, rest, limit, f"energy_management/{key}").total)
    ident, name = "energy_management/rest", "load.uncontrolled"
    return build.least(ident, name, totals) if totals else build.fact(ident, name, UNKNOWN, "VA", "")


def has_mobile_home(context: Context) -> bool:
    """True where a dwelling unit is a mobile home: the methods for dwellings do not reach it."""
    return any(unit.mobile_home for unit in context.at.house.units)


def methods_for(context: Context) -> tuple[str, ...]:
    """Keys of the methods to show, in order."""
    return (*ORDER, MOBILE) if has_mobile_home(context) else ORDER


def _may(context: Context, key: str, items: Sequence[Item], limit: ServiceLimit) -> May:
    refused = _not_here(context, key)
    if key == MOBILE:
        return refused or May(Outcome.CANNOT_TELL, said("load.may.mobile_home"))
    if has_mobile_home(context) and key != "energy_management":
        return May(Outcome.FAILS, said("load.may.mobile_home"))
    if key in ("two_family", "multifamily", "measured", "energy_management"):
        may = {"two_family": may_two_family, "measured": may_measured, "energy_management": may_management}.get(key)
        found = may_multifamily(context, items) if may is None else may(context)
        return found if found.outcome is Outcome.NOT_APPLICABLE or refused is None else refused
    if refused is not None:
        return refused
    if key == "optional":
        return may_optional(context, limit)
    return may_existing(context) if key == "existing" else May(Outcome.MEETS, said("load.may.always"))


def method(context: Context, key: str, items: Sequence[Item], limit: ServiceLimit) -> Method:
    """One method: admissible or not, its figures, its verdict against the service."""
    may = _may(context, key, items, limit)
    name, section = said(f"load.method.{key}"), ""
    cites: tuple[Cite, ...] = ()
    try:
        cites = (context.cite(SUBJECT[key]),)
        section = cites[0].section
    except EditionNotEncoded:
        pass
    counted = may.outcome is Outcome.MEETS or (
        may.outcome is Outcome.CANNOT_TELL
        and cites
        and key not in ("energy_management", MOBILE)
        and not (key == "multifamily" and needs_not_met(context, items))
        and not (key == "measured" and not any(e.total for e in evidence_of(context)))
    )
    if not counted:
        verdict = Outcome.CANNOT_TELL if may.outcome is Outcome.CANNOT_TELL else Outcome.NOT_APPLICABLE
        return Method(
            key, name, section, may.outcome, may.why, None, None, None, verdict, missing=may.missing, cites=cites
        )
    try:
        found = _calculate(context, key, items, limit)
    except (EditionNotEncoded, OutOfTable) as error:
        return Method(
            key, name, section, Outcome.CANNOT_TELL, error.msg, None, None, None, Outcome.CANNOT_TELL, cites=cites
        )
    amperes = _amperes(context, key, found.total)
    whole = build.rounded(f"{key}/rounded", "load.rounded", amperes, cite=context.cite("general_rounding"))
    verdict = at_most(whole.value, limit.smallest.value) if may.outcome is Outcome.MEETS else Outcome.CANNOT_TELL
    if verdict is not Outcome.CANNOT_TELL and (amperes.all_assumed() or limit.smallest.all_assumed()):
        verdict = Outcome.CANNOT_TELL  # a named assumption is never a pass, and never a failure either
    neutral_a = None
    if found.neutral is not None:
        neutral_a = neutral_amperes(context, f"{key}/neutral", found.neutral, service_volts(context))
    return Method(
        key,
        name,
        section,
        may.outcome,
        may.why,
        found.total,
        amperes,
        whole,
        verdict,
        found.neutral,
        neutral_a,
        found.readings,
        may.missing,
        cites,
        build.minus(f"{key}/left", "load.left", limit.smallest, whole, unit="A"),
        build.minus(f"{key}/over", "load.over", whole, limit.smallest, unit="A"),
    )
