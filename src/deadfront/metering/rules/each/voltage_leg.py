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
    if channel.leg == channel.voltage_leg:
        return found(facts, IDS[0], channel, True)
    return found(facts, IDS[0], channel, False, _word(facts, channel), voltage=channel.voltage_leg)


def _word(facts: Facts, channel: Channel) -> str:
    """What the voltage of another leg comes to, together with the way the CT is known to be turned."""
    if facts.wye is None:
        return "system"
    if facts.wye:
        return "wye"
    turned = None not in (channel.arrow_points_to, channel.arrow_fitted_to) and (
        channel.arrow_points_to != channel.arrow_fitted_to)  # fmt: skip
    return "cancels" if turned else ""
