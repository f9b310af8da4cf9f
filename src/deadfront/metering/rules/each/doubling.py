"""One current transformer or two on what has two hots, and what the meter doubles.

Split phase, one on a load without neutral: watts doubled is right to (V1 - V2)/(V1 + V2), amperes doubled never. With a
neutral load it is off by the part between one hot and neutral. Both hots through one window, one of them turned, is
the whole load without doubling. On two legs of 208Y/120 only two current transformers are right at every power factor.
"""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.alone import contradicted, neutral_of
from deadfront.metering.rules.doubling_steps import legs_error, neutral_error, whole_load, wye_error
from deadfront.metering.rules.facts import SERVICE, Facts
from deadfront.metering.rules.found import found
from deadfront.worksheet.check import Check

IDS = ("metering.doubling",)


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel."""
    yield from (_check(facts, each) for each in facts.channels)


def _check(facts: Facts, channel: Channel) -> Check:
    poles = facts.poles(channel)
    if channel.measures is None or poles is None:
        return found(facts, IDS[0], channel, None, waits=facts.missing(channel, "measures") or facts.no_poles(channel))
    if channel.window is None or channel.doubled is None:
        return found(facts, IDS[0], channel, None, waits=facts.missing(channel, "window", "doubled"))
    if poles == 1:
        return found(facts, IDS[0], channel, channel.doubled == "none", "" if channel.doubled == "none" else "one_pole")
    if channel.window == "two hots, one turned" and facts.wye is None:  # words-ok
        return found(facts, IDS[0], channel, None, waits=facts.no_system())
    if channel.window == "two hots, one turned" and not facts.wye:  # words-ok
        right = channel.doubled == "none"
        return found(facts, IDS[0], channel, right, "turned" if right else "twice")
    beside = {each.leg for each in facts.beside(channel) if each.window == "one hot"}
    whole = set(facts.legs) if channel.measures == SERVICE else set(facts.legs_of(facts.breaker_of(channel)))
    if len(beside - {None}) >= poles or (whole and whole <= beside):
        right = channel.doubled == "none"
        return found(facts, IDS[0], channel, right, "each" if right else "twice")
    return _alone(facts, channel)


def _alone(facts: Facts, channel: Channel) -> Check:
    """One current transformer for two hots."""
    if channel.measures == SERVICE or facts.role(channel) == "feeder":
        return found(facts, IDS[0], channel, False, "both_legs")
    if facts.wye is None:
        return found(facts, IDS[0], channel, None, waits=facts.no_system())
    if facts.wye:
        return _wye(facts, channel)
    neutral = neutral_of(facts, channel)
    if neutral is None:
        return _not_told(facts, channel)
    if neutral:
        return _with_neutral(facts, channel)
    if channel.doubled != "watts":
        return found(facts, IDS[0], channel, False, "half" if channel.doubled == "none" else "amperes")
    step = legs_error(facts, channel)
    return found(facts, IDS[0], channel, True, "watts", step=step, error=step.value)


def _wye(facts: Facts, channel: Channel) -> Check:
    """On two legs of a wye doubled watts of one are right at power factor 1 and without neutral only."""
    if channel.doubled != "watts":
        return found(facts, IDS[0], channel, False, f"wye_{channel.doubled}")
    step = wye_error(facts, channel)
    if step.value.low:
        return found(facts, IDS[0], channel, False, "wye", step=step, error=step.value)
    neutral = neutral_of(facts, channel)
    if neutral is None:
        return _not_told(facts, channel)
    return found(facts, IDS[0], channel, not neutral, "wye_neutral" if neutral else "wye_unity", step=step)


def _not_told(facts: Facts, channel: Channel) -> Check:
    """Whether the load uses the neutral is not known, or is told both ways."""
    if not contradicted(facts, channel):
        return found(facts, IDS[0], channel, None, "neutral", waits=facts.missing(channel, "neutral_w"))
    if channel.neutral_w is None:
        return found(facts, IDS[0], channel, None, "told_both_ways", waits=facts.missing(channel, "neutral_w"))
    return found(facts, IDS[0], channel, False, "no_part")


def _with_neutral(facts: Facts, channel: Channel) -> Check:
    """One current transformer on a load that uses the neutral is wrong however it is set; by how much, as it is set."""
    if channel.doubled == "amperes":
        return found(facts, IDS[0], channel, False, "neutral_amperes")
    whole = whole_load(facts, channel)
    if channel.neutral_w is not None and whole is not None and channel.neutral_w > whole.value.low:
        return found(facts, IDS[0], channel, False, "part_too_large", step=whole, part=channel.neutral_w,
                     whole=whole.value)  # fmt: skip
    if channel.doubled == "none":
        return found(facts, IDS[0], channel, False, "neutral_half")
    step = neutral_error(facts, channel)
    if step is None:
        return found(facts, IDS[0], channel, False, "neutral")
    return found(facts, IDS[0], channel, False, "neutral_by", step=step, error=step.value)
