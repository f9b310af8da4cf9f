"""A current transformer that alone stands for both hots of a load, and whether that load uses the neutral."""

from __future__ import annotations

from deadfront.job.load_things import Load
from deadfront.job.metering_things import Channel
from deadfront.job.panel_things import Circuit
from deadfront.job.source_things import Source
from deadfront.metering.rules.facts import Facts

MAY_USE_BARE = ("range", "oven", "cooktop", "dryer")
"""Kinds that older wiring let use the bare conductor of a cable as neutral: two insulated ones prove nothing."""


def is_alone(facts: Facts, channel: Channel) -> bool:
    """Whether no other channel of its gear is planned on the other hot of the same circuit or source."""
    if channel.window not in (None, "one hot") or not isinstance(facts.measured(channel), Circuit | Source):
        return False
    beside = [each for each in facts.beside(channel) if each.id != channel.id and each.leg != channel.leg]
    return (facts.poles(channel) or 1) > 1 and not beside


def neutral_of(facts: Facts, channel: Channel) -> bool | None:
    """Whether what it measures has a load between a hot and neutral; None where that is not known."""
    told = {each.neutral for each in _loads(facts, channel)}
    if channel.neutral_w is not None:
        return None if contradicted(facts, channel) else channel.neutral_w > 0
    circuit = facts.circuits_by_id.get(channel.measures or "")
    if circuit is None or contradicted(facts, channel):
        return None
    if True in told:
        return True
    if circuit.cable.conductors == 2:
        bare = any(each.kind in MAY_USE_BARE and each.neutral is None for each in _loads(facts, channel))
        return None if bare else False
    return False if told and None not in told else None


def contradicted(facts: Facts, channel: Channel) -> bool:
    """Whether a load is told to use the neutral, and its cable or its entered part says that there is none."""
    if not any(each.neutral for each in _loads(facts, channel)):
        return False
    circuit = facts.circuits_by_id.get(channel.measures or "")
    if channel.neutral_w is not None:
        return channel.neutral_w == 0
    return circuit is not None and circuit.cable.conductors == 2


def _loads(facts: Facts, channel: Channel) -> tuple[Load, ...]:
    return facts.loads_on(channel.measures or "")
