"""A current output that is opened under load makes dangerous volts: its own means to short it comes first."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.worksheet.check import Check, Severity

IDS = ("metering.open_secondary",)


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel, old or new: it hurts whoever opens it."""
    yield from (_check(facts, each) for each in facts.channels)


def _check(facts: Facts, channel: Channel) -> Check:
    if channel.built_in_burden and channel.output is not None:
        return found(facts, IDS[0], channel, True, "burden", severity=Severity.DANGER)
    if channel.output != "current":
        waits = facts.missing(channel, "output", "built_in_burden")
        if waits or channel.output is None:
            return found(facts, IDS[0], channel, None, waits=waits, severity=Severity.DANGER)
    if channel.shorting is None:
        return found(facts, IDS[0], channel, None, waits=facts.missing(channel, "shorting"), severity=Severity.DANGER)
    return found(facts, IDS[0], channel, channel.shorting, severity=Severity.DANGER)
