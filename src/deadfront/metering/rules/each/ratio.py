"""The ratio the meter is set to is the one marked on the current transformer, divided by the turns through it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.msg import said
from deadfront.worksheet import build
from deadfront.worksheet.check import Check
from deadfront.worksheet.step import Step

IDS = ("metering.ratio",)
TYPED = Decimal("0.001")
"""What rounding of a typed ratio may come to."""


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel."""
    yield from (_check(facts, each) for each in facts.channels)


def _check(facts: Facts, channel: Channel) -> Check:
    if channel.secondary_ma is not None and channel.secondary_mv is not None:
        return found(facts, IDS[0], channel, False, "both", milliamperes=channel.secondary_ma,
                     millivolts=channel.secondary_mv)  # fmt: skip
    marked = "secondary_mv" if channel.output == "voltage" else "secondary_ma"
    other = channel.secondary_ma if channel.output == "voltage" else channel.secondary_mv
    if channel.output is not None and other is not None:
        return found(facts, IDS[0], channel, False, f"output_{channel.output}")
    waits = facts.missing(channel, "output", "primary_a", marked, "set_primary_a")
    if waits:
        return found(facts, IDS[0], channel, None, waits=waits)
    step = scale(facts, channel)
    assert step is not None
    return found(facts, IDS[0], channel, abs(step.value.low - 1) <= TYPED, step=step, times=round(step.value.low, 3),
                 should=round((channel.primary_a or Decimal(0)) / (channel.turns or 1), 3))  # fmt: skip


def scale(facts: Facts, channel: Channel) -> Step | None:
    """How many times the true current the meter shows: set ratio over the marked one, times the turns."""
    if channel.primary_a is None or channel.set_primary_a is None:
        return None
    ident, path = f"metering.{channel.id}.scale", facts.at.path(channel, "primary_a")
    turns = build.counted(f"{ident}.turns", said("figure.metering.turns"), channel.turns or 1)
    marked = build.fact(f"{ident}.marked", said("figure.metering.marked"), channel.primary_a, "A", path)
    asked = build.fact(f"{ident}.set", said("figure.metering.set"), channel.set_primary_a, "A",
                       facts.at.path(channel, "set_primary_a"))  # fmt: skip
    seen = build.product(f"{ident}.seen", said("figure.metering.seen"), [asked, turns], unit="A")
    return build.quotient(ident, said("figure.metering.scale"), seen, marked, unit="")
