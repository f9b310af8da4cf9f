"""Circuits that share a neutral: who shares with whom, and on which leg each hot stands."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.tell import Truth, any_of
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.topology.rows import TWO_LEGS, leg_of_space


@dataclass(frozen=True)
class Shared:
    """Circuits with one neutral between them, each with its breaker where it is known."""

    circuits: tuple[Circuit, ...]
    breakers: tuple[Breaker | None, ...]


def shared_neutrals(facts: Facts) -> tuple[Shared, ...]:
    """Every group of circuits that share a neutral, in the order of the house."""
    group: dict[str, set[str]] = {}
    for circuit in facts.at.house.circuits:
        partner = circuit.shares_neutral_with
        if partner is None or partner == circuit.id or partner not in facts.circuits:
            continue
        joined = group.get(circuit.id, {circuit.id}) | group.get(partner, {partner})
        group.update(dict.fromkeys(joined, joined))
    found, done = [], set[str]()
    for circuit in facts.at.house.circuits:
        if circuit.id in group and circuit.id not in done:
            done |= group[circuit.id]
            members = tuple(each for each in facts.at.house.circuits if each.id in group[circuit.id])
            found.append(Shared(members, tuple(facts.breaker_of(each) for each in members)))
    return tuple(found)


def leg_of(facts: Facts, breaker: Breaker | None) -> int | str | None:
    """The leg that the first pole of a breaker stands on, by its row; None where spaces or panel are not known."""
    panel = facts.panel_of(breaker)
    if breaker is None or not breaker.spaces or panel is None:
        return None
    return leg_of_space(panel, min(breaker.spaces), facts.at.house.service.system)


def same_panel(facts: Facts, shared: Shared) -> Truth:
    """Whether all hots start in one panel."""
    panels = [facts.panel_of(each) for each in shared.breakers]
    known = {each.id for each in panels if each is not None}
    return False if len(known) > 1 else None if None in panels else True


def same_leg(facts: Facts, shared: Shared) -> Truth:
    """Whether two hots stand on one leg, so that the neutral carries their sum: measured, else by their spaces."""
    measured = [each.hots_240_apart for each in shared.circuits]
    if any(each is not None for each in measured) and len(shared.circuits) == TWO_LEGS:
        return False in measured
    return any_of(
        _pair(facts, first, second)
        for index, first in enumerate(shared.breakers)
        for second in shared.breakers[index + 1 :]
    )


def _pair(facts: Facts, first: Breaker | None, second: Breaker | None) -> Truth:
    if first is None or second is None:
        return None
    if first.id == second.id:
        return None if first.poles is None else first.poles == 1
    legs = leg_of(facts, first), leg_of(facts, second)
    return None if None in legs else legs[0] == legs[1]


def open_together(shared: Shared) -> Truth:
    """Whether one motion opens all hots: one breaker of two poles, a tie, or as seen."""
    breakers = shared.breakers
    if any(each is not None and each.opens_with_partner is False for each in breakers):
        return False
    if None in breakers:
        return None
    known = tuple(each for each in breakers if each is not None)
    if all(each.opens_with_partner for each in known):
        return True
    ids = {each.id for each in known}
    if len(ids) == 1:
        return None if known[0].poles is None else known[0].poles == len(shared.circuits)
    if all(each.opens_with_partner or each.tied_with in ids for each in known):
        return True
    if any(each.opens_with_partner or each.tied_with in ids for each in known) and len(known) == TWO_LEGS:
        return True
    return False if _apart(known) else None


def _apart(breakers: tuple[Breaker, ...]) -> bool:
    """Handles that stand too far from each other for a tie: not neighbors in one column (common practice)."""
    spaces = sorted(min(each.spaces) for each in breakers if each.spaces)
    if len(spaces) != len(breakers):
        return False
    return any(high - low not in (0, 2) for low, high in zip(spaces, spaces[1:], strict=False))
