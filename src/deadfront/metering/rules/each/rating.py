"""A current transformer carries what the breaker of its conductor lets pass, as often as it passes its window."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.job.source_things import Source
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.msg import said
from deadfront.quantities import point
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

IDS = ("metering.rating",)
LISTED = ("listing_and_instructions",)


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel."""
    yield from (_check(facts, each) for each in facts.channels)


def _check(facts: Facts, channel: Channel) -> Check:
    step, waits = through(facts, channel)
    waits = (*waits, *facts.missing(channel, "rating_a"))
    if step is None or channel.rating_a is None:
        return found(facts, IDS[0], channel, None, waits=waits, step=step, cites=LISTED)
    fits = at_most(step.value, point(channel.rating_a)) is Outcome.MEETS
    twice = "twice" if channel.window == "two hots, one turned" and not fits else ""  # words-ok
    return found(facts, IDS[0], channel, fits, twice, step=step, cites=LISTED,
                 current=step.value, rating=channel.rating_a)  # fmt: skip


def through(facts: Facts, channel: Channel) -> tuple[Step | None, tuple[Missing, ...]]:
    """The current through the window at the rating of the breaker, and what that waits for."""
    rating, waits = _breaker(facts, channel)
    waits = (*waits, *facts.missing(channel, "window"))
    if rating is None or channel.window is None:
        return None, waits
    hots = 2 if channel.window.startswith("two hots") else 1
    parts = [rating]
    ident = f"metering.{channel.id}.through"
    if hots > 1:
        parts.append(build.counted(f"{ident}.hots", said("figure.metering.hots"), hots))
    if channel.turns is not None and channel.turns > 1:
        parts.append(build.counted(f"{ident}.turns", said("figure.metering.turns"), channel.turns))
    return build.product(ident, said("figure.metering.through"), parts, unit="A"), ()


def _breaker(facts: Facts, channel: Channel) -> tuple[Step | None, tuple[Missing, ...]]:
    """What lets its current pass: the breaker, the service disconnect, or the most a source gives."""
    ident, feed, thing = f"metering.{channel.id}.breaker", facts.feed(channel), facts.measured(channel)
    if feed.service:
        rating = facts.at.house.service.disconnect.rating_a
        path = "before.service/disconnect.rating_a"
        if rating is None:
            what, how = said("todo.metering.disconnect"), said("todo.how.metering.disconnect")
            return None, (Missing(path, what, how),)
        return build.fact(ident, said("figure.metering.breaker"), rating, "A", path), ()
    if feed.breaker is not None:
        if feed.breaker.rating_a is None:
            return None, facts.missing(feed.breaker, "rating_a")
        path = facts.at.path(feed.breaker, "rating_a")
        return build.fact(ident, said("figure.metering.breaker"), feed.breaker.rating_a, "A", path), ()
    if isinstance(thing, Source):
        if thing.output_a is None:
            return None, (*facts.asked(feed), *facts.missing(thing, "output_a"))
        return build.fact(ident, said("figure.metering.output"), thing.output_a, "A",
                          facts.at.path(thing, "output_a")), ()  # fmt: skip
    return None, facts.missing(channel, "measures") or facts.asked(feed)
