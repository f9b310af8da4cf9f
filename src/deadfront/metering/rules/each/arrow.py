"""A current transformer points the way its own instructions ask; makes differ, so that is a fact, never assumed."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.msg import said
from deadfront.worksheet.check import Check

IDS = ("metering.arrow",)


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel."""
    yield from (_check(facts, each) for each in facts.channels)


def _check(facts: Facts, channel: Channel) -> Check:
    waits = facts.missing(channel, "arrow_points_to", "arrow_fitted_to")
    if waits:
        return found(facts, IDS[0], channel, None, waits=waits, cites=("listing_and_instructions",))
    right = channel.arrow_points_to == channel.arrow_fitted_to
    other_leg = None not in (channel.leg, channel.voltage_leg) and channel.leg != channel.voltage_leg
    word = "" if right or not other_leg else "cancels" if facts.wye is False else "with_voltage"
    return found(facts, IDS[0], channel, right, word, side=said(f"metering.side.{channel.arrow_points_to}"),
                 cites=("listing_and_instructions",))  # fmt: skip
