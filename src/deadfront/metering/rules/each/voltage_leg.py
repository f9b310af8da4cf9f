"""The current of a leg is multiplied by the voltage of the same leg."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.worksheet.check import Check

IDS = ("metering.voltage",)


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel."""
    yield from (_check(facts, each) for each in facts.channels)


def _check(facts: Facts, channel: Channel) -> Check:
    waits = facts.missing(channel, "leg", "voltage_leg")
    if waits:
        return found(facts, IDS[0], channel, None, waits=waits)
    word = "" if channel.leg == channel.voltage_leg or not facts.wye else "wye"
    return found(facts, IDS[0], channel, channel.leg == channel.voltage_leg, word, voltage=channel.voltage_leg)
