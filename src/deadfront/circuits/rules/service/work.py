"""What the work does with the parts of the service."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.job.panel_things import Panel
from deadfront.worksheet.check import Reach

EQUIPMENT = frozenset({"disconnect", "disconnects", "disconnects_apart", "outside", "system", "nearest_entrance"})
_ORDER = (*TOUCHED, Reach.EXISTING)


@dataclass(frozen=True, slots=True)
class ServiceWork:
    """What the work does with each part of the service.

    Args:
        equipment: Service disconnect: outdoors, or the panel that holds it.
        outside: The outside device alone.
        conductors: Service conductors.
        grounding: Electrode conductor, bonding; all of it where equipment or conductors are new.
        drop: The utility's drop; it also counts where equipment or conductors are new.
    """

    equipment: Reach
    outside: Reach
    conductors: Reach
    grounding: Reach
    drop: Reach


def farthest(*reaches: Reach) -> Reach:
    """The most far-reaching of several."""
    return next(each for each in _ORDER if each in reaches)


def service_panels(facts: Facts) -> tuple[Panel, ...]:
    """Panels that the service feeds; the only panel of the house where nothing says what feeds it."""
    return facts.once(_service_panels)


def _service_panels(facts: Facts) -> tuple[Panel, ...]:
    panels = tuple(each for each in facts.at.house.panels if each.structure is None)
    used = tuple(each for each in panels if each.fed_by is None and each.service_equipment == "yes")
    fed = tuple(each for each in panels if each.fed_by == "service" or each in used)
    return fed or tuple(each for each in panels if len(panels) == 1 and each.fed_by is None)


def service_work(facts: Facts) -> ServiceWork:
    """What the work does with the service; in a new dwelling all of it is new."""
    return facts.once(_service_work)


def _service_work(facts: Facts) -> ServiceWork:
    if facts.existing is False:
        return ServiceWork(*(Reach.NEW,) * 5)
    fields = facts.at.set_fields.get("service", frozenset())
    panels = service_panels(facts)
    mains = (each for each in facts.at.house.breakers if each.role == "main" and facts.panel_of(each) in panels)
    things = farthest(facts.reach_of(*panels, *mains), Reach.EXISTING)
    outside = _set(fields, {"outside"})
    equipment = farthest(things, _set(fields, EQUIPMENT))
    conductors = _set(fields, {"conductors"})
    grounding = farthest(equipment, conductors, _set(fields, {"grounding"}))
    drop = farthest(equipment, conductors, _set(fields, {"drop"}))
    return ServiceWork(equipment, outside, conductors, grounding, drop)


def _set(fields: frozenset[str], names: frozenset[str] | set[str]) -> Reach:
    return Reach.REPLACED if fields & names else Reach.EXISTING
