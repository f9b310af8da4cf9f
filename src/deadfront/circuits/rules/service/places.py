"""Every enclosure of a house in which neutral and ground could join, with what it may be and how it stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.joins import (
    BOTH,
    FEEDER,
    Marked,
    Role,
    doubtful,
    judged,
    outside_roles,
    panel_roles,
    structure_roles,
    three_wire_may_stay,
)
from deadfront.circuits.rules.service.structure_lines import breaker_for, panel_in
from deadfront.circuits.rules.service.telling import lacks, name_of
from deadfront.circuits.rules.service.work import farthest, service_panels, service_work
from deadfront.codebook.conductors import grounding_size
from deadfront.errors import OutOfTable
from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.service_things import Meter, Structure
from deadfront.job.thing import Known
from deadfront.msg import Msg, said
from deadfront.quantities import size_rank
from deadfront.worksheet.check import Outcome, Reach
from deadfront.worksheet.missing import Missing


@dataclass(frozen=True, slots=True)
class Place:
    """One enclosure in which neutral and ground may join.

    Args:
        kind: "outside", "meter", "submeter", "panel" or "structure".
        thing: Its id, or "service".
        name: What it is called.
        roles: What it may be.
        joined: Whether neutral and ground are joined in it.
        outcome: Held against what it may be.
        reach: What the work does with it.
        missing: Facts that would tell.
    """

    kind: str
    thing: str
    name: Msg
    roles: frozenset[Role]
    joined: Known
    outcome: Outcome
    reach: Reach
    missing: tuple[Missing, ...]


def places(facts: Facts) -> tuple[Place, ...]:
    """All of them, from the street to the last panel."""
    return facts.once(_places)


def _places(facts: Facts) -> tuple[Place, ...]:
    found = (*_meters(facts), *_outside(facts), *_panels(facts), *_structures(facts))
    return _with_jumper(facts, found)


def _meters(facts: Facts) -> Iterator[Place]:
    for meter in facts.at.house.meters:
        yield _meter(facts, meter) if meter.purpose == "utility" else _submeter(facts, meter)


def _meter(facts: Facts, meter: Meter) -> Place:
    roles: frozenset[Role] = frozenset({"line side"})
    fields = ("neutral_joined",) if meter.neutral_joined == "unknown" else ("bonded_otherwise",)
    outcome = judged(roles, meter.neutral_joined, meter.bonded_otherwise)
    return Place("meter", meter.id, name_of(facts, meter), roles, meter.neutral_joined, outcome,
                 facts.reach_of(meter), lacks(facts, meter, *fields))  # fmt: skip


def _submeter(facts: Facts, meter: Meter) -> Place:
    """A meter on the load side: a join is allowed only right beside the service disconnect."""
    outcome = Outcome.MEETS if meter.beside_disconnect else judged(FEEDER, meter.neutral_joined)
    fields = ["neutral_joined"] if meter.neutral_joined == "unknown" else []
    if meter.beside_disconnect is None and outcome is not Outcome.MEETS:
        outcome, fields = Outcome.CANNOT_TELL, [*fields, "beside_disconnect"]
    return Place("submeter", meter.id, name_of(facts, meter), FEEDER, meter.neutral_joined, outcome,
                 facts.reach_of(meter), lacks(facts, meter, *fields))  # fmt: skip


def _outside(facts: Facts) -> Iterator[Place]:
    device = facts.at.house.service.outside
    roles = outside_roles(device.present, _marked(facts))
    if not roles:
        return
    fields = [] if device.neutral_joined != "unknown" else ["outside.neutral_joined"]
    if _marked(facts) is None:
        fields.append("outside.marked" if device.marked is None else "outside.overcurrent")
    if "line side" in roles and device.neutral_joined == "no" and device.bonded_otherwise is None:
        fields.append("outside.bonded_otherwise")
    yield Place("outside", "service", said("grounding.outside_device"), roles, device.neutral_joined,
                judged(roles, device.neutral_joined, device.bonded_otherwise), service_work(facts).outside,
                lacks(facts, None, *fields))  # fmt: skip


def _marked(facts: Facts) -> Marked:
    """What the outside device is marked as; None where its mark does not settle what it is."""
    device = facts.at.house.service.outside
    ahead = facts.book.has("emergency_disconnect")
    return None if doubtful(device.marked, device.overcurrent, ahead) else device.marked


def _panels(facts: Facts) -> Iterator[Place]:
    fed = service_panels(facts)
    for panel in facts.at.house.panels:
        if panel.structure is None:
            yield _panel_of_service(facts, panel) if panel in fed else _feeder_panel(facts, panel)


def _panel_of_service(facts: Facts, panel: Panel) -> Place:
    service = facts.at.house.service
    device = service.outside
    several = (service.disconnects or 1) > 1
    roles = panel_roles(device.present, _marked(facts), several, panel.service_equipment)
    missing = list(lacks(facts, panel, "neutral_joined")) if panel.neutral_joined == "unknown" else []
    if len(roles) > 1:
        missing += _what_it_is(facts, panel)
    reach = farthest(facts.reach_of(panel), service_work(facts).outside)
    return Place("panel", panel.id, name_of(facts, panel), roles, panel.neutral_joined,
                 judged(roles, panel.neutral_joined), reach, tuple(missing))  # fmt: skip


def _what_it_is(facts: Facts, panel: Panel) -> tuple[Missing, ...]:
    """The facts that tell whether a panel that the service feeds holds a service disconnect."""
    device = facts.at.house.service.outside
    if panel.service_equipment == "no":
        return (*lacks(facts, panel, "service_equipment"), *lacks(facts, None, "outside.present"))
    if device.present == "unknown":
        return lacks(facts, None, "outside.present")
    if device.marked is not None and _marked(facts) is None:
        return lacks(facts, None, "outside.overcurrent")
    return lacks(facts, None, "disconnects" if device.marked else "outside.marked")


def _feeder_panel(facts: Facts, panel: Panel) -> Place:
    """A panel on a breaker, whatever else is said of it; one that nothing known feeds may be either."""
    roles: frozenset[Role] = BOTH if panel.fed_by is None else FEEDER
    fields = ["fed_by"] if panel.fed_by is None else []
    missing = lacks(facts, panel, *fields, *(["neutral_joined"] if panel.neutral_joined == "unknown" else []))
    reach = facts.reach_of(panel, facts.breakers.get(panel.fed_by or ""))
    return Place("panel", panel.id, name_of(facts, panel), roles, panel.neutral_joined,
                 judged(roles, panel.neutral_joined), reach, missing)  # fmt: skip


def _structures(facts: Facts) -> Iterator[Place]:
    for structure in facts.at.house.structures:
        first = panel_in(facts, structure)
        yield _structure(facts, structure, first)
        for panel in facts.at.house.panels:
            if panel.structure == structure.id and panel is not first:
                yield _feeder_panel(facts, panel)


def _structure(facts: Facts, structure: Structure, panel: Panel | None) -> Place:
    """The first enclosure at a separate structure."""
    breaker = breaker_for(facts, structure)
    reach = facts.reach_of(structure, breaker)
    joined = structure.neutral_joined
    if joined == "unknown" and panel is not None:
        joined = panel.neutral_joined
    feeder = structure.supply in (None, "feeder")
    stays = _may_stay(facts, structure, panel, breaker, reach) if feeder else False
    grounded = False if structure.existing_three_wire else structure.grounding_conductor
    roles = structure_roles(grounded, stays)
    missing = _structure_missing(facts, structure, joined, roles)
    reach = farthest(reach, facts.reach_of(panel))
    return Place("structure", structure.id, name_of(facts, structure), roles, joined, judged(roles, joined), reach,
                 missing)  # fmt: skip


def _may_stay(
    facts: Facts, structure: Structure, panel: Panel | None, breaker: Breaker | None, reach: Reach
) -> bool | None:
    """Whether a feeder without grounding conductor may stay as it is."""
    protection = breaker.protection if breaker is not None else None
    protected = None if protection is None else protection in ("ground fault", "both")
    large = None if panel is None or breaker is None else neutral_large(facts, panel, breaker)
    return three_wire_may_stay(reach in TOUCHED, structure.parallel_metal, protected, large)


def neutral_large(facts: Facts, panel: Panel, breaker: Breaker) -> bool | None:
    """Whether the neutral of a feeder is no smaller than a grounding conductor behind its breaker would be."""
    cable = panel.feeder
    size = cable.neutral_size or cable.size
    if size is None or cable.metal is None or breaker.rating_a is None:
        return None
    try:
        return size_rank(size) >= size_rank(grounding_size(facts.book, breaker.rating_a, cable.metal).value)
    except OutOfTable:
        return None


def _structure_missing(
    facts: Facts, structure: Structure, joined: Known, roles: frozenset[Role]
) -> tuple[Missing, ...]:
    found = list(lacks(facts, structure, "neutral_joined")) if joined == "unknown" else []
    if len(roles) > 1:
        names = ("grounding_conductor", "parallel_metal")
        found += lacks(facts, structure, *(n for n in names if getattr(structure, n) in (None, "unknown")))
        breaker = breaker_for(facts, structure)
        if breaker is None:
            found += lacks(facts, structure, "fed_by")
        else:
            found += lacks(facts, breaker, *(n for n in ("protection", "rating_a") if getattr(breaker, n) is None))
        panel = panel_in(facts, structure)
        if panel is not None:
            cable = panel.feeder
            found += lacks(facts, panel, *(f"feeder.{n}" for n in ("size", "metal") if getattr(cable, n) is None))
    return tuple(found)


def _with_jumper(facts: Facts, found: tuple[Place, ...]) -> tuple[Place, ...]:
    """Where there is one enclosure of a service disconnect, the fact on the main bonding jumper is about it."""
    told = facts.at.house.service.grounding.bonding_jumper
    holders = [each for each in found if "service" in each.roles and each.kind in ("outside", "panel")]
    if told == "unknown" or len(holders) != 1 or holders[0].roles != {"service"} or holders[0].joined != "unknown":
        return found
    outcome = judged(holders[0].roles, told)
    return tuple(replace(p, joined=told, outcome=outcome, missing=()) if p is holders[0] else p for p in found)


def no_holder(facts: Facts, found: tuple[Place, ...]) -> bool:
    """Whether the service feeds a panel, but no enclosure on file can be that of the service disconnect."""
    return bool(service_panels(facts)) and not any("service" in each.roles for each in found)


def joined_nowhere(facts: Facts, found: tuple[Place, ...]) -> bool:
    """Whether no enclosure that may hold the service disconnect joins neutral and ground, whichever of them it is.

    Not while a device outdoors is neither known to be there nor known to be missing: it may hold the join. Nor where
    no panel can be it: it may be somewhere that is not on file.
    """
    holders = [each for each in found if "service" in each.roles and each.kind in ("outside", "panel")]
    known = facts.at.house.service.outside.present != "unknown"
    panels = any(each.kind == "panel" and facts.panels[each.thing].service_equipment != "no" for each in holders)
    return known and panels and all(each.joined == "no" for each in holders)
