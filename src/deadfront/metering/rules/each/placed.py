"""Where a channel sits: which input, whose conductor, which leg; held against the spaces of its breaker."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import SERVICE, Facts
from deadfront.metering.rules.found import found
from deadfront.worksheet.check import Check
from deadfront.worksheet.missing import Missing

IDS = ("metering.placed",)


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel."""
    yield from (_check(facts, each) for each in facts.channels)


def _check(facts: Facts, channel: Channel) -> Check:
    waits = facts.missing(channel, "gear", "input", "measures", "leg")
    if channel.leg is not None and channel.leg not in facts.legs and facts.at.house.service.system is not None:
        return found(facts, IDS[0], channel, False, "no_leg", legs=facts.legs)
    legs = facts.legs_of(facts.breaker_of(channel))
    if channel.leg is not None and legs and channel.leg not in legs:
        return found(facts, IDS[0], channel, False, "leg", legs=legs)
    if not waits and not legs and channel.measures != SERVICE:
        waits = _unplaced(facts, channel)
    return found(facts, IDS[0], channel, None if waits else True, waits=waits)


def _unplaced(facts: Facts, channel: Channel) -> tuple[Missing, ...]:
    """What would tell the legs of a conductor whose breaker, or its spaces, are not known."""
    breaker, thing = facts.breaker_of(channel), facts.measured(channel)
    if breaker is not None:
        return facts.missing(breaker, "spaces", "panel")
    return facts.missing(thing, "breaker", "fed_by") if thing is not None else facts.missing(channel, "measures")
