"""What passes through the window of a current transformer, and whether it fits."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.worksheet.check import Check, Severity

IDS = ("metering.window", "metering.opening")
READS_NOTHING = {"two hots, same way": "same_way", "hot and neutral": "neutral", "whole cable": "cable"}  # words-ok
"""What makes it read next to nothing, whatever the load."""


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel: what passes, then whether it fits."""
    for channel in facts.channels:
        yield _passes(facts, channel)
        yield _fits(facts, channel)


def _passes(facts: Facts, channel: Channel) -> Check:
    if channel.window is None:
        return found(facts, IDS[0], channel, None, waits=facts.missing(channel, "window"))
    if channel.window in READS_NOTHING:
        return found(facts, IDS[0], channel, False, READS_NOTHING[channel.window])
    if channel.window == "one hot":
        return found(facts, IDS[0], channel, True)
    poles = facts.poles(channel)
    if poles == 1:
        return found(facts, IDS[0], channel, False, "one_pole")
    if facts.wye:
        return found(facts, IDS[0], channel, False, "wye")
    if poles is None or facts.wye is None:
        waits = facts.no_poles(channel) if poles is None else ()
        return found(facts, IDS[0], channel, None, waits=(*waits, *facts.no_system()))
    return found(facts, IDS[0], channel, True, "turned")


def _fits(facts: Facts, channel: Channel) -> Check:
    """Only by measured widths: what a cable usually measures is no fact of this one."""
    waits = facts.missing(channel, "conductor_in", "opening_in")
    if channel.conductor_in is None or channel.opening_in is None:
        return found(facts, IDS[1], channel, None, waits=waits, severity=Severity.NOTE)
    return found(facts, IDS[1], channel, channel.conductor_in <= channel.opening_in,
                 across=channel.conductor_in, opening=channel.opening_in)  # fmt: skip
