"""The energy-management limit on the service: its set point as a continuous load, once its facts are on file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from deadfront.job.things import EnergyManagement
from deadfront.loads.rules.context import Context
from deadfront.loads.rules.evse import continuous_percent, management_counts, management_missing
from deadfront.loads.rules.items import Item
from deadfront.results.loads import ManagementFacts
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


@dataclass(frozen=True)
class Limit:
    """A system that limits the service, what it may count for, and what is missing.

    Args:
        system: The system; None where no system monitors the service.
        counts: Its facts are on file and let its limit count.
        missing: Facts not on file.
    """

    system: EnergyManagement | None
    counts: bool
    missing: tuple[Missing, ...]


def service_system(context: Context) -> Limit:
    """The energy management system that monitors the service conductors, if there is one."""
    systems = context.at.house.energy_management
    on_service = [s for s in systems if s.monitors == "service"]
    maybe = on_service or [s for s in systems if s.monitors is None]
    if not maybe:
        return Limit(None, False, ())
    fit = sorted((s for s in maybe if management_counts(s)), key=lambda s: (s.set_point_a or 0, s.id))
    open_ = sorted((s for s in maybe if management_missing(context, s)), key=lambda s: s.id)
    system = (fit or open_ or sorted(maybe, key=lambda s: s.id))[0]
    return Limit(system, management_counts(system), management_missing(context, system))


def management_facts(context: Context, items: Sequence[Item]) -> tuple[ManagementFacts, ...]:
    """Every energy management system with the facts that let its limit count."""
    house = context.at.house
    breakers = {b.id: b.name or ", ".join(str(s) for s in b.spaces) or b.id for b in house.breakers}

    def facts(s: EnergyManagement) -> ManagementFacts:
        held = tuple(i.each.name for i in items if i.load.id in s.controls or i.load.managed_by == s.id)
        monitors = s.monitors if s.monitors in (None, "service") else breakers.get(str(s.monitors), str(s.monitors))
        return ManagementFacts(
            s.name or s.id, s.listed, s.set_point_a, s.restricted_access, s.lost_signal, monitors, held,
            management_counts(s),
        )  # fmt: skip

    return tuple(facts(system) for system in house.energy_management)


def uncontrolled(items: Sequence[Item], system: EnergyManagement) -> tuple[Item, ...]:
    """Loads that the system cannot hold down."""
    return tuple(i for i in items if i.load.id not in system.controls and i.load.managed_by != system.id)


def managed_load(
    context: Context,
    system: EnergyManagement,
    items: Sequence[Item],
    rest_of: Callable[[Sequence[Item]], Step | None],
    volts: Step,
    prefix: str = "energy_management",
) -> Step:
    """Load that the limit stands for [VA]: never less than what the system cannot hold down.

    Args:
        rest_of: Calculates the load of the uncontrolled items by the best admissible method.
        volts: Volts of the service, between lines times the root of three on three phases.
    """
    assert system.set_point_a is not None
    cite = context.cite("energy_management_load")
    path = context.at.path(system, "set_point_a")
    point = build.fact(f"{prefix}/set_point", "load.set_point", system.set_point_a, "A", path, inline=True)
    limit = build.product(f"{prefix}/limit", "load.managed_limit", (point, volts))
    continuous = build.percent_of(
        f"{prefix}/continuous", "load.managed_continuous", limit, continuous_percent(context), cite=cite
    )
    rest = rest_of(uncontrolled(items, system))
    parts = (continuous,) if rest is None else (continuous, rest)
    return build.largest(f"{prefix}/total", "load.total", parts, cite=cite)
