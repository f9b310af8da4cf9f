"""Ranges and dryers grounded by their neutral: an old three-wire circuit, and a panel that becomes a feeder panel."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.places import places
from deadfront.circuits.rules.service.telling import lacks, name_of, tell
from deadfront.circuits.rules.service.work import farthest
from deadfront.job.panel_things import Circuit
from deadfront.quantities import size_rank
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

ID = "grounding.three_wire_appliance"
IDS = (ID,)
KINDS = frozenset({"range", "oven", "cooktop", "dryer"})


class Told(NamedTuple):
    """An outcome, the ending of its words, and the facts that would tell."""

    outcome: Outcome
    how: str
    missing: tuple[Missing, ...] = ()


def checks(facts: Facts) -> Iterator[Check]:
    """Every range, oven, cooktop and dryer circuit that has no ground of its own, or may have none."""
    roles = {place.thing: place for place in places(facts) if place.kind in ("panel", "structure")}
    for circuit in facts.at.house.circuits:
        if not any(load.kind in KINDS for load in facts.loads_on.get(circuit.id, ())):
            continue
        panel = facts.panel_of(facts.breaker_of(circuit))
        place = roles.get((panel.structure or panel.id) if panel is not None else "")
        own = facts.reach_of(circuit)
        reach = own if place is None else farthest(own, place.reach)
        told = _judge(facts, circuit, own, place.roles if place is not None else frozenset())
        if told.how == "grounded" and own in TOUCHED and circuit.cable.conductors == 2:
            continue  # two wires and a ground bring no neutral: the rule on runs says what that means
        made_feeder = place is not None and place.reach in TOUCHED and told.how in ("feeder", "feeder_covered")
        bad = Severity.DANGER if made_feeder else Severity.CORRECT
        yield from tell(ID, circuit.id, told.outcome, reach, told.how, name_of(facts, circuit),
                        cites=(facts.cite("three_wire_appliance"),), hazard=Severity.CORRECT, caution="neutral",
                        severity=bad, missing=told.missing)  # fmt: skip


def _judge(facts: Facts, circuit: Circuit, own: Reach, roles: frozenset[str]) -> Told:
    cable = circuit.cable
    if cable.ground not in (None, "none") or (cable.ground is None and cable.ground_size is not None):
        if own is Reach.NEW and cable.conductors is None:
            return Told(Outcome.CANNOT_TELL, "neutral_open", lacks(facts, circuit, "cable.conductors"))
        return Told(Outcome.MEETS, "grounded")
    if cable.ground is None:
        return Told(Outcome.CANNOT_TELL, "open", lacks(facts, circuit, "cable.ground"))
    if own is Reach.NEW or "cable" in facts.at.set_fields.get(circuit.id, ()):
        return Told(Outcome.FAILS, "new")
    if _too_small(facts, circuit):
        return Told(Outcome.FAILS, "small")
    if cable.conductors is not None and cable.conductors > 2:
        return _insulated(facts, circuit)
    return _maybe_bare(facts, circuit, roles)


def _too_small(facts: Facts, circuit: Circuit) -> bool:
    cable = circuit.cable
    size = cable.neutral_size or cable.size
    if size is None or cable.metal is None:
        return False
    return size_rank(size) < size_rank(str(facts.book.rule("three_wire_appliance").params[cable.metal]))


def _insulated(facts: Facts, circuit: Circuit) -> Told:
    cable = circuit.cable
    lacking = tuple(name for name in ("cable.size", "cable.metal") if getattr(cable, name[6:]) is None)
    if lacking:
        return Told(Outcome.CANNOT_TELL, "open", lacks(facts, circuit, *lacking))
    return Told(Outcome.MEETS, "insulated")


def _maybe_bare(facts: Facts, circuit: Circuit, roles: frozenset[str]) -> Told:
    """A neutral that is bare, or may be: only in service-entrance cable, and only from service equipment."""
    cable = circuit.cable
    bare = cable.conductors is not None
    entrance = None if cable.type is None else cable.type.upper().startswith("SE")
    if bare and entrance is False:
        return Told(Outcome.FAILS, "bare")
    if roles == {"feeder"} and bare:
        return _bare_from_feeder(facts, circuit)
    lacking = [f"cable.{n}" for n in ("conductors", "type", "size", "metal") if getattr(cable, n) is None]
    missing = list(lacks(facts, circuit, *lacking))
    if roles != {"service"} and not lacking:
        missing += lacks(facts, circuit, "breaker") if not roles else lacks(facts, None, "outside.marked")
    if missing:
        return Told(Outcome.CANNOT_TELL, "open", tuple(missing))
    return Told(Outcome.MEETS, "bare_from_service")


def _bare_from_feeder(facts: Facts, circuit: Circuit) -> Told:
    """A bare neutral from a feeder panel: never, or since some edition only if it is covered inside that panel."""
    if not facts.book.rule("three_wire_appliance").params["bare_from_feeder"]:
        return Told(Outcome.FAILS, "feeder")
    covered = circuit.cable.neutral_covered
    if covered is None:
        return Told(Outcome.CANNOT_TELL, "open", lacks(facts, circuit, "cable.neutral_covered"))
    return Told(Outcome.MEETS, "covered") if covered else Told(Outcome.FAILS, "feeder_covered")
