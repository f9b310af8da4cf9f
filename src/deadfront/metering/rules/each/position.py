"""What a mains channel is said to read, gross or net, is what it can read by where the sources join."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.job.source_things import Source
from deadfront.metering.rules.facts import SERVICE, Facts
from deadfront.metering.rules.found import found
from deadfront.msg import said
from deadfront.worksheet.check import Check
from deadfront.worksheet.missing import Missing

IDS = ("metering.position",)


def checks(facts: Facts) -> Iterator[Check]:
    """Every mains channel."""
    yield from (_check(facts, each) for each in facts.channels if facts.role(each) == "mains")


def _check(facts: Facts, channel: Channel) -> Check:
    sources = facts.at.house.sources
    if not sources:
        if facts.at.house.complete.sources == "yes":
            return found(facts, IDS[0], channel, None, applies=False)
        none = (Missing("before.complete/sources", said("todo.metering.sources"), said("todo.how.metering.sources")),)
        return found(facts, IDS[0], channel, None, waits=none)
    sides = {side_of(channel, each) for each in sources}
    waits = facts.missing(channel, "position")
    if len(sides) != 1 or None in sides:
        return found(facts, IDS[0], channel, None, "side", waits=(*waits, *facts.missing(channel, "sources_join")))
    if channel.position is None:
        return found(facts, IDS[0], channel, None, waits=waits)
    reads = "gross" if sides == {"line side"} else "net"
    right = channel.position == reads
    return found(facts, IDS[0], channel, right, "" if right else f"set_{channel.position}",
                 reads=said(f"metering.position.{reads}"))  # fmt: skip


def side_of(channel: Channel, source: Source) -> str | None:
    """Side of a mains channel on which a source joins; None where it cannot be told from how it joins."""
    if channel.sources_join is not None:
        return channel.sources_join
    joins = source.joins or ("breaker" if source.breaker else None)
    return "load side" if channel.measures == SERVICE and joins in ("breaker", "feeder", "transfer") else None
