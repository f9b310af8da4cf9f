"""Where a channel sits: which input, whose conductor, which leg; held against the spaces of its breaker."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.worksheet.check import Check

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
    feed = facts.feed(channel)
    if not waits and not legs and not feed.service:
        waits = facts.missing(feed.breaker, "spaces", "panel") if feed.breaker is not None else facts.asked(feed)
    return found(facts, IDS[0], channel, None if waits else True, waits=waits)
