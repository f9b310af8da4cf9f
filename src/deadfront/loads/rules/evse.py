"""Electric vehicle supply equipment: its rating, an adjusted setting, a managed group, and each edition's rule."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.errors import EditionNotEncoded
from deadfront.job.things import EnergyManagement
from deadfront.loads.rules.context import Context, thing_name
from deadfront.loads.rules.items import Item
from deadfront.loads.rules.nameplate import load_volts, missing_plate
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


def _managed_groups(context: Context, items: Sequence[Item]) -> list[tuple[EnergyManagement, list[Item]]]:
    """EVSE under a system that limits them alone (not the service) and whose facts are all on file."""
    if encoded(context, "evse_managed") is None:
        return []
    groups = []
    for system in context.at.house.energy_management:
        members = [i for i in items if i.load.id in system.controls or i.load.managed_by == system.id]
        if members and system.monitors != "service" and management_counts(system):
            groups.append((system, members))
    return groups


def evse_demand(
    context: Context,
    prefix: str,
    items: Sequence[Item],
    *,
    least: str | None = "evse_va_min",
    name: Msg | str = "load.evse",
) -> Step | None:
    """Load of all EVSE [VA], each at least the edition's least load where it has one; None where there are none.

    Args:
        least: Name of the least load per EVSE, or None for nameplates only.
    """
    if not items:
        return None
    cite = context.cite("evse_load")
    floor = context.given("given/evse_least", least) if least and evse_basis(context).startswith("larger") else None
    steps, done = [], set()
    for system, members in _managed_groups(context, items):
        fresh = [m for m in members if m.load.id not in done]
        done |= {m.load.id for m in fresh}
        steps.append(_managed(context, prefix, system, [_one(context, prefix, m, floor, cite) for m in fresh]))
    steps += [_one(context, prefix, item, floor, cite) for item in items if item.load.id not in done]
    return build.total(f"{prefix}/evse", name, steps, cite=cite)


def evse_basis(context: Context) -> str:
    """How the edition takes an EVSE: "none", "larger_of_minimum_and_nameplate", "nameplate_or_minimum_if_unknown"."""
    return str(context.book.rule("evse_load").params["basis"])


def _unread(context: Context, item: Item) -> bool:
    load = item.load
    return load.nameplate_va is None and load.nameplate_w is None and load.nameplate_a is None


def _not_chosen_yet(context: Context, ident: str, item: Item) -> Step:
    """A new EVSE whose rating is not known yet, at the rule's figure [VA]; one found and not read stays unknown."""
    entry, plate = context.book.value("evse_va_min"), missing_plate(context, item.load)
    value = context.number("evse_va_min")
    return build.fact(ident, item.each.name, value, "VA", plate.path, cite=entry.cite, missing=plate)


def _one(context: Context, prefix: str, item: Item, floor: Step | None, cite: Cite) -> Step:
    each = evse_rating(context, item)
    ident = f"{prefix}/evse/{item.load.id}"
    if evse_basis(context) == "nameplate_or_minimum_if_unknown" and _unread(context, item) and item.new:
        each = _not_chosen_yet(context, ident, item)
    if floor is not None:
        each = build.largest(ident, item.each.name, (each, floor), cite=cite)
    if item.number == 1:
        return each
    count = build.counted(f"{ident}/number", "count.of_these", item.number)
    return build.product(f"{ident}/all", item.each.name, (count, each))


def _managed(context: Context, prefix: str, system: EnergyManagement, members: Sequence[Step]) -> Step:
    """A managed group: its set point as a continuous load, never more than the group itself."""
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
        f"{ident}/continuous", "load.managed_continuous", limit, context.number("continuous_percent"), cite=cite
    )
    group = build.total(f"{ident}/group", "load.managed_group", members)
    return build.least(ident, "load.evse_managed", (limit, group), cite=cite)
