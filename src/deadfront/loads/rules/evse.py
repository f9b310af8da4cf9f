"""Electric vehicle supply equipment: its rating, an adjusted setting, a managed group, and each edition's rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from deadfront.errors import EditionNotEncoded
from deadfront.job.things import EnergyManagement
from deadfront.loads.rules.context import Context, thing_name
from deadfront.loads.rules.items import Item
from deadfront.loads.rules.nameplate import breaker_of, load_volts
from deadfront.loads.rules.volts import service_volts
from deadfront.msg import Msg, said
from deadfront.worksheet import build
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


def encoded(context: Context, subject: str) -> Cite | None:
    """Where a rule stands, or None where this edition's text is not held or an amendment bars it."""
    try:
        return None if context.book.barred(subject) else context.cite(subject)
    except EditionNotEncoded:
        return None


def evse_rating(context: Context, item: Item) -> Step:
    """Rating of one EVSE [VA]: the nameplate, or its setting where only qualified people can change it."""
    load, cite = item.load, encoded(context, "evse_adjustable")
    if load.setting_a is None or cite is None or load.setting_restricted is False:
        return item.each
    ident, name = f"load/{load.id}", item.each.name
    amperes = build.fact(
        f"{ident}/setting_a", "load.setting", load.setting_a, "A", context.at.path(load, "setting_a"), inline=True
    )
    setting = build.product(f"{ident}/setting", name, (amperes, load_volts(context, load, item.kind)), cite=cite)
    setting = build.least(f"{ident}/set", name, (setting, item.each), cite=cite)
    if load.setting_restricted:
        return setting
    thing = thing_name(load.id, load.name, load.kind)
    missing = Missing(
        context.at.path(load, "setting_restricted"),
        said("todo.setting_restricted", thing=thing),
        said("todo.how.setting_restricted"),
    )
    return build.between_cases(f"{ident}/rating", name, setting, item.each, missing=(missing,))


def management_missing(context: Context, system: EnergyManagement) -> tuple[Missing, ...]:
    """Facts of an energy management system that are not on file, without which its limit does not count."""
    wanted = {
        "listed": system.listed,
        "set_point_a": system.set_point_a,
        "restricted_access": system.restricted_access,
        "lost_signal": system.lost_signal,
        "monitors": system.monitors,
    }
    return tuple(
        Missing(context.at.path(system, field), said(f"todo.management.{field}"), said("todo.how.management"))
        for field, value in wanted.items()
        if value is None
    )


def management_counts(system: EnergyManagement) -> bool:
    """Whether the facts on file let its limit count: listed, guarded, and safe when the signal is lost."""
    return bool(
        system.listed
        and system.restricted_access
        and system.set_point_a
        and system.monitors
        and system.lost_signal in ("holds limit", "stops loads")
    )


def feeds(context: Context, breaker_id: str, item: Item) -> bool | None:
    """Whether a breaker's conductors carry a load: its own breaker, or one upstream; None where not entered."""
    house = context.at.house
    breaker = breaker_of(context, item.load)
    if breaker is None:
        return None
    seen: set[str] = set()
    while breaker is not None and breaker.id not in seen:
        if breaker.id == breaker_id:
            return True
        seen.add(breaker.id)
        panel = next((p for p in house.panels if p.id == breaker.panel), None)
        if panel is None or panel.fed_by is None:
            return None
        breaker = next((b for b in house.breakers if b.id == panel.fed_by), None)
    return False


@dataclass(frozen=True)
class Group:
    """EVSE that a system limits, and the facts that would show that its monitored conductors carry them."""

    system: EnergyManagement
    members: tuple[Item, ...]
    missing: tuple[Missing, ...]


def _managed_groups(context: Context, items: Sequence[Item]) -> list[Group]:
    """EVSE under a system that limits them alone (not the service) and whose facts are all on file."""
    if encoded(context, "evse_managed") is None:
        return []
    groups = []
    for system in context.at.house.energy_management:
        if system.monitors in (None, "service") or not management_counts(system):
            continue
        named = [i for i in items if i.load.id in system.controls or i.load.managed_by == system.id]
        members = [i for i in named if feeds(context, str(system.monitors), i) is not False]
        missing = tuple(
            Missing(
                context.at.path(i.load, "circuit"), said("todo.circuit", thing=i.each.name), said("todo.how.circuit")
            )
            for i in members
            if feeds(context, str(system.monitors), i) is None
        )
        if members:
            groups.append(Group(system, tuple(members), missing))
    return groups


def evse_demand(
    context: Context,
    prefix: str,
    items: Sequence[Item],
    *,
    least: str | None = "evse_va_min",
    name: Msg | str = "load.evse",
    also: Cite | None = None,
) -> Step | None:
    """Load of all EVSE [VA], each at least the edition's least load where it has one; None where there are none.

    Args:
        least: Name of the least load per EVSE, or None for nameplates only.
        also: Where the method that takes it in says so.
    """
    if not items:
        return None
    cite = context.cite("evse_load")
    floor = context.given("given/evse_least", least) if least and evse_basis(context).startswith("larger") else None
    steps, done = [], set()
    for group in _managed_groups(context, items):
        fresh = [m for m in group.members if m.load.id not in done]
        done |= {m.load.id for m in fresh}
        if fresh:
            steps.append(_managed(context, prefix, group, [_one(context, prefix, m, floor, cite) for m in fresh]))
    steps += [_one(context, prefix, item, floor, cite) for item in items if item.load.id not in done]
    return build.total(f"{prefix}/evse", name, steps, cite=(cite,) if also is None else (cite, also))


def evse_basis(context: Context) -> str:
    """How the edition takes an EVSE: "none", "larger_of_minimum_and_nameplate", "nameplate_or_minimum_if_unknown"."""
    return str(context.book.rule("evse_load").params["basis"])


def _one(context: Context, prefix: str, item: Item, floor: Step | None, cite: Cite) -> Step:
    each = evse_rating(context, item)
    ident = f"{prefix}/evse/{item.load.id}"
    if floor is not None:
        each = build.largest(ident, item.each.name, (each, floor), cite=cite)
    if item.number == 1:
        return each
    count = build.counted(f"{ident}/number", "count.of_these", item.number)
    return build.product(f"{ident}/all", item.each.name, (count, each))


def continuous_percent(context: Context) -> Decimal:
    """Percent at which a set point counts: 125, or 100 where the disconnect is listed for its full rating."""
    full = context.at.house.service.disconnect.listed_full_load
    return Decimal(100) if full else context.number("continuous_percent")


def _managed(context: Context, prefix: str, managed: Group, members: Sequence[Step]) -> Step:
    """A managed group: its set point as a continuous load, never more than the group itself."""
    system = managed.system
    ident, cite = f"{prefix}/evse/{system.id}", context.cite("evse_managed")
    assert system.set_point_a is not None
    point = build.fact(
        f"{ident}/set_point",
        "load.set_point",
        system.set_point_a,
        "A",
        context.at.path(system, "set_point_a"),
        inline=True,
    )
    limit = build.product(f"{ident}/limit", "load.managed_limit", (point, service_volts(context)))
    limit = build.percent_of(
        f"{ident}/continuous", "load.managed_continuous", limit, continuous_percent(context), cite=cite
    )
    group = build.total(f"{ident}/group", "load.managed_group", members)
    held = build.least(ident, "load.evse_managed", (limit, group), cite=cite)
    if not managed.missing:
        return held
    return build.between_cases(f"{ident}/maybe", "load.evse_managed", held, group, missing=managed.missing)
