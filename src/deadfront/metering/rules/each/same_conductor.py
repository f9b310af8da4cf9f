"""No conductor is counted twice, and no input is used twice, by one meter."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.worksheet.check import Check

IDS = ("metering.same_conductor",)


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel; nothing is said of the only one."""
    if len(facts.channels) > 1:
        yield from (_check(facts, each) for each in facts.channels)


def _check(facts: Facts, channel: Channel) -> Check:
    others = [each for each in facts.channels if each.id != channel.id and each.gear == channel.gear]
    for other in others:
        if channel.input and other.input and channel.input.casefold() == other.input.casefold():
            return found(facts, IDS[0], channel, False, "input", other=facts.name_of(other), input=channel.input)
        if channel.measures and (channel.measures, channel.leg) == (other.measures, other.leg) and channel.leg:
            return found(facts, IDS[0], channel, False, other=facts.name_of(other))
    waits = facts.missing(channel, "gear", "input", "measures", "leg")
    return found(facts, IDS[0], channel, None if waits else True, waits=waits)
