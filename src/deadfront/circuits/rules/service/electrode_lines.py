"""The grounding electrode conductor of the service and the conductor to each of its electrodes."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.electrode_system import CAPPED, OTHER, System, ring_size, system_at
from deadfront.circuits.rules.service.sizes import Lines, capped, kind_name, lines_of, sized, verdict
from deadfront.errors import OutOfTable
from deadfront.job.service_things import Electrode
from deadfront.msg import Msg, said
from deadfront.results.circuits import Required, Sized
from deadfront.worksheet.check import Outcome

SUBJECT = "electrode_conductor"


def service_lines(facts: Facts) -> Lines | None:
    """The ungrounded service conductors, if size and metal are known."""
    each = facts.at.house.service.conductors
    return lines_of(each.size, each.metal, each.sets, "before/service.conductors.size")


def lines_open(facts: Facts, smallest: tuple[Sized, ...], metal: str | None = None) -> list[str]:
    """The facts of the service conductors that a size waits for; one of them where the tables hold none of a metal."""
    each = facts.at.house.service.conductors
    fields = [f"conductors.{name}" for name in ("size", "metal") if getattr(each, name) is None]
    held = any(metal in (None, each.metal) for each in smallest)
    return fields or ([] if held else ["conductors.size"])


def electrode_lines(facts: Facts) -> Iterator[Required]:
    """The conductor to the electrode system, then the one to each electrode."""
    house = facts.at.house
    system, lines = system_at(facts, None), service_lines(facts)
    found = house.service.grounding
    name = said("grounding.name.electrode_conductor")
    yield whole(facts, system, lines, "service", name, found.conductor_size, found.conductor_metal)
    for electrode in system.electrodes:
        yield one(facts, system, lines, electrode)


def whole(
    facts: Facts, system: System, lines: Lines | None, of: str, name: Msg, size: str | None, metal: str | None
) -> Required:
    """The conductor to a whole electrode system: by the table, held down only where every electrode is known."""
    ident = f"grounding/{of}/electrode_conductor"
    full = _sized(facts, lines, None, "", ident)
    cap = system.cap_of_all()
    smallest = full if cap is None else _sized(facts, lines, cap, ring_size(system), ident)
    outcome = verdict(size, metal, smallest)
    if outcome is Outcome.FAILS and cap is None and _may_be_capped(system):
        least = _sized(facts, lines, "rod", "", ident)
        outcome = Outcome.FAILS if verdict(size, metal, least) is Outcome.FAILS else Outcome.CANNOT_TELL
    if outcome is Outcome.FAILS and system.kinds == {OTHER}:
        outcome = Outcome.CANNOT_TELL
    return Required(SUBJECT, of, name, smallest, size or "", outcome)


def _may_be_capped(system: System) -> bool:
    """Whether every electrode listed has a cap, so that the rest of the list decides."""
    return system.complete is not True and system.kinds <= set(CAPPED)


def one(facts: Facts, system: System, lines: Lines | None, electrode: Electrode) -> Required:
    """The conductor to one electrode: held down where it serves this kind alone; none to what may be no electrode."""
    ident = f"grounding/{electrode.id}/electrode_conductor"
    name = said("grounding.name.to_electrode", kind=kind_name(electrode.kind))
    if electrode.kind == OTHER:
        return Required(SUBJECT, electrode.id, name, (), electrode.conductor_size or "", Outcome.CANNOT_TELL)
    full = _sized(facts, lines, None, "", ident)
    low = _sized(facts, lines, electrode.kind, electrode.ring_size or "", ident)
    alone = system.alone(electrode)
    smallest = low if alone else full
    outcome = verdict(electrode.conductor_size, electrode.conductor_metal, smallest)
    if outcome is Outcome.FAILS and alone is None:
        held = verdict(electrode.conductor_size, electrode.conductor_metal, low)
        outcome = Outcome.FAILS if held is Outcome.FAILS else Outcome.CANNOT_TELL
    return Required(SUBJECT, electrode.id, name, smallest, electrode.conductor_size or "", outcome)


def _sized(facts: Facts, lines: Lines | None, kind: str | None, ring: str, ident: str) -> tuple[Sized, ...]:
    if lines is None:
        return ()
    try:
        if kind is None:
            return sized(facts.book, SUBJECT, lines, ident)
        return capped(facts.book, lines, kind, ring, ident)
    except OutOfTable:
        return ()
