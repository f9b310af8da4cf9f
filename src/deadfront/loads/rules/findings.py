"""Checks of the load stage: each rule a small function in one list."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal

from deadfront.codebook import lookup
from deadfront.errors import EditionNotEncoded
from deadfront.loads.rules.context import Context
from deadfront.loads.rules.evse import encoded, management_counts, management_missing
from deadfront.loads.rules.items import Item, of
from deadfront.loads.rules.lines import line_amperes
from deadfront.loads.rules.measured_findings import MEASURED_RULES
from deadfront.loads.rules.several import unit_count
from deadfront.msg import said
from deadfront.quantities import Interval, size_rank
from deadfront.results.loads import LoadResult
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Reach, Severity, at_most
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing

Rule = Callable[[Context, Sequence[Item], LoadResult], Iterable[Check]]


def check_service_carries(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """The relied method against the smallest part of the service."""
    relied = result.method(result.relied)
    if relied is not None and relied.verdict is Outcome.NOT_APPLICABLE:
        yield Check(
            "load.service_carries",
            "service",
            Outcome.FAILS,
            Severity.CORRECT,
            said("check.load.method_not_admissible", method=relied.name, why=relied.why),
            cites=relied.cites,
            remedy=said("remedy.load.service_carries"),
        )
        return
    if relied is None or relied.rounded is None:
        missing = tuple({m.path: m for method in result.methods for m in method.missing}.values())
        yield Check(
            "load.service_carries",
            "service",
            Outcome.CANNOT_TELL,
            Severity.CORRECT,
            said("check.load.no_method"),
            missing=missing,
        )
        return
    missing = tuple({m.path: m for m in (*relied.waits_for(), *result.limit.smallest.all_missing())}.values())
    outcome = relied.verdict
    assumed = bool(relied.rounded.all_assumed() or result.limit.smallest.all_assumed())
    say = said(
        f"check.load.service_carries.{'assumed' if assumed else outcome.name.lower()}",
        method=relied.name,
        amperes=relied.rounded.value,
        limit=result.limit.told,
    )
    yield Check(
        "load.service_carries",
        "service",
        outcome,
        Severity.CORRECT,
        say,
        step=relied.rounded,
        missing=missing if outcome is Outcome.CANNOT_TELL else (),
        cites=relied.cites,
        remedy=said("remedy.load.service_carries"),
    )


def check_heavier_leg(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """The heavier leg by the standard method, line by line: 120 V loads may lie on one leg."""
    one_dwelling = context.at.house.service.system == "120/240 1ph 3w" and unit_count(context) == 1
    if result.relied != "standard" or not one_dwelling:
        return
    volts = context.given("lines/volts", "nominal_volts_240")
    lines = line_amperes(context, items, volts)
    heavier = build.rounded(
        "lines/heavier", "load.heavier_leg", build.largest("lines/largest", "load.heavier_leg", lines, unit="A")
    )
    outcome = at_most(heavier.value, result.limit.smallest.value)
    missing = heavier.all_missing() if outcome is Outcome.CANNOT_TELL else ()
    yield Check(
        "load.heavier_leg",
        "service",
        outcome,
        Severity.CORRECT if outcome is Outcome.FAILS else Severity.NOTE,
        said(f"check.load.heavier_leg.{outcome.name.lower()}", amperes=heavier.value, limit=result.limit.told),
        step=heavier,
        missing=missing,
        cites=(context.cite("dwelling_standard_load"),),
        remedy=said("remedy.load.heavier_leg"),
    )


def check_complete(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """Whether all loads are listed: until then every total is a lower bound."""
    no_facts: tuple[Missing, ...] = ()
    if context.at.house.complete.loads == "yes":
        outcome, missing = Outcome.MEETS, no_facts
    else:
        outcome = Outcome.CANNOT_TELL
        missing = (Missing("before/complete.loads", said("todo.complete.loads"), said("todo.how.walk")),)
    yield Check(
        "load.complete",
        "",
        outcome,
        Severity.CORRECT,
        said(f"check.load.complete.{outcome.name.lower()}"),
        missing=missing,
    )


def check_assumptions(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """Named assumptions are printed and never signed."""
    for name in sorted(context.assumptions):
        yield Check(
            "load.assumption",
            name,
            Outcome.CANNOT_TELL,
            Severity.CORRECT,
            said(f"assumption.{name}"),
            remedy=said("remedy.load.assumption"),
        )


def check_conductors(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """The service conductors against the disconnect that protects them, the next size up allowed."""
    parts = {p.id: p for p in result.limit.parts}
    disconnect, conductors = parts["service/disconnect"], parts["service/conductors"]
    ratings = lookup.standard_ratings(context.book)
    upto = context.number("next_size_up_upto_a")

    def up(value: Decimal | None) -> Decimal | None:
        return value if value is None or value > upto else next((r for r in ratings if r >= value), value)

    allowed = Interval(up(conductors.value.low) or conductors.value.low, up(conductors.value.high))
    outcome = Outcome.CANNOT_TELL if conductors.assumed else at_most(disconnect.value, allowed)
    missing = (*disconnect.all_missing(), *conductors.all_missing()) if outcome is Outcome.CANNOT_TELL else ()
    yield Check(
        "load.service_conductors",
        "service",
        outcome,
        Severity.CORRECT,
        said(
            f"check.load.service_conductors.{outcome.name.lower()}", rating=disconnect.value, carries=conductors.value
        ),
        Reach.EXISTING,
        conductors,
        missing,
        conductors.all_cites(),
        said("remedy.load.service_conductors"),
    )


def check_parallel(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """Parallel service conductors are at least 1/0 (section from memory)."""
    c = context.at.house.service.conductors
    if (c.sets or 1) < 2 or c.size is None:
        return
    outcome = Outcome.MEETS if size_rank(c.size) >= size_rank("1/0") else Outcome.FAILS
    cite = context.cite("parallel_conductors")
    yield Check(
        "load.parallel_conductors",
        "service",
        outcome,
        Severity.CORRECT,
        said(f"check.load.parallel_conductors.{outcome.name.lower()}", size=c.size, sets=c.sets),
        Reach.EXISTING,
        cites=(cite,),
        remedy=said("remedy.load.parallel_conductors"),
    )


def check_service_minimum(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """A one-family service of less than 100 A stands only as found."""
    if unit_count(context) > 1:
        return
    least = context.number("service_min_one_family_a")
    disconnect = result.limit.parts[0]
    outcome = at_most(Interval(least, least), disconnect.value)
    yield Check(
        "load.service_minimum",
        "service",
        outcome,
        Severity.NOTE,
        said(f"check.load.service_minimum.{outcome.name.lower()}", rating=disconnect.value, least=least),
        Reach.REPLACED,
        disconnect,
        disconnect.all_missing(),
        (context.cite("service_minimum"),),
        said("remedy.load.service_minimum"),
    )


def check_required_circuits(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """Two small-appliance circuits and a laundry circuit are counted at least; fewer found is said."""
    for unit in context.at.house.units:
        for field in ("small_appliance_circuits", "laundry_circuits"):
            value = getattr(unit, field)
            if value is None or (field == "laundry_circuits" and unit.laundry_shared):
                continue
            least = context.number(f"{field}_min")
            outcome = Outcome.MEETS if value >= least else Outcome.FAILS
            yield Check(
                f"load.{field}",
                unit.id,
                outcome,
                Severity.NOTE,
                said(f"check.load.{field}.{outcome.name.lower()}", count=value, least=least),
                Reach.NEW,
                cites=(context.book.value(f"{field}_min").cite,),
            )


def check_evse_setting(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """An adjusted EVSE setting counts only where qualified people alone can change it."""
    for item in of(items, "evse"):
        load = item.load
        if load.setting_a is None:
            continue
        path = context.at.path(load, "setting_restricted")
        missing: tuple[Missing, ...] = ()
        cite = encoded(context, "evse_adjustable")
        if cite is None:
            outcome, key = Outcome.FAILS, "not_in_edition"
        elif load.setting_restricted is None:
            outcome, key = Outcome.CANNOT_TELL, "cannot_tell"
            missing = (
                Missing(
                    path, said("todo.setting_restricted", thing=item.each.name), said("todo.how.setting_restricted")
                ),
            )
        else:
            outcome = Outcome.MEETS if load.setting_restricted else Outcome.FAILS
            key = outcome.name.lower()
        yield Check(
            "load.evse_setting",
            load.id,
            outcome,
            Severity.CORRECT,
            said(f"check.load.evse_setting.{key}", thing=item.each.name),
            Reach.NEW,
            item.each,
            missing,
            (cite,) if cite else (),
            said("remedy.load.evse_setting"),
        )


def check_management(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """An energy management system counts only with its facts on file."""
    for system in context.at.house.energy_management:
        missing = management_missing(context, system)
        if management_counts(system):
            outcome = Outcome.MEETS
        else:
            outcome = Outcome.CANNOT_TELL if missing else Outcome.FAILS
        cites: tuple[Cite, ...] = ()
        key = outcome.name.lower()
        try:
            cites = (context.cite("energy_management_load"),)
        except EditionNotEncoded:
            outcome, key = Outcome.FAILS, "not_in_edition"
        yield Check(
            "load.energy_management",
            system.id,
            outcome,
            Severity.CORRECT,
            said(f"check.load.energy_management.{key}", thing=system.name or system.id),
            Reach.NEW,
            missing=missing,
            cites=cites,
            remedy=said("remedy.load.energy_management"),
        )


def check_from_memory(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """Values of the relied method that no public source supports here: compare them with the book."""
    relied = result.method(result.relied)
    if relied is None or relied.amperes is None:
        return
    marked = tuple(c for c in relied.amperes.all_cites() if c.marked)
    if marked:
        sections = tuple(dict.fromkeys(c.section for c in marked))
        yield Check(
            "load.from_memory",
            "",
            Outcome.CANNOT_TELL,
            Severity.NOTE,
            said("check.load.from_memory", sections=sections, count=len(sections)),
            cites=marked,
            remedy=said("remedy.load.from_memory"),
        )


def check_requirements(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """Worded requirements of local amendments: shown as given, for the license holder to confirm."""
    for index, requirement in enumerate(context.book.requirements):
        yield Check(
            "load.local_requirement",
            f"{requirement.amendment}-{index + 1}",
            Outcome.CANNOT_TELL,
            Severity.NOTE,
            said("check.load.local_requirement", text=requirement.text, amendment=requirement.amendment),
        )


RULES: tuple[Rule, ...] = (
    check_service_carries,
    check_heavier_leg,
    check_conductors,
    check_parallel,
    *MEASURED_RULES,
    check_management,
    check_evse_setting,
    check_complete,
    check_assumptions,
    check_required_circuits,
    check_service_minimum,
    check_from_memory,
    check_requirements,
)


def load_checks(context: Context, items: Sequence[Item], result: LoadResult) -> tuple[Check, ...]:
    """All checks of the load stage, in the order a foreman would say them."""
    return tuple(check for rule in RULES for check in rule(context, items, result))
