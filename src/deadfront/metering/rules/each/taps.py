"""The leads that bring a meter the voltage it measures are protected, by no more than its instructions allow."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.found_things import Gear
from deadfront.job.panel_things import Breaker
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.worksheet.check import Check, Severity

IDS = ("metering.taps",)
LISTED = ("listing_and_instructions",)


def checks(facts: Facts) -> Iterator[Check]:
    """Gear that channels end on, old or new: thin leads on a service burn."""
    metered = {each.gear for each in facts.channels}
    yield from (_check(facts, each) for each in facts.at.house.gear if each.id in metered)


def _check(facts: Facts, gear: Gear) -> Check:
    if gear.taps is None:
        return found(facts, IDS[0], gear, None, waits=facts.missing(gear, "taps"), severity=Severity.CORRECT,
                     cites=LISTED)  # fmt: skip
    if gear.taps == "none":
        return found(facts, IDS[0], gear, False, "bare", severity=Severity.DANGER, cites=LISTED)
    breaker = facts.breakers.get(gear.taps_breaker or "") if gear.taps == "a breaker" else None
    wrong = _other_leg(facts, gear, breaker)
    if wrong is not None:
        return wrong
    rating = gear.taps_a if gear.taps_a is not None else breaker.rating_a if breaker else None
    waits = facts.missing(gear, "taps_max_a")
    if rating is None:
        waits = (*(facts.missing(breaker, "rating_a") if breaker else facts.missing(gear, "taps_a")), *waits)
    if rating is None or gear.taps_max_a is None:
        return found(facts, IDS[0], gear, None, waits=waits, severity=Severity.CORRECT, cites=LISTED)
    return found(facts, IDS[0], gear, rating <= gear.taps_max_a, severity=Severity.CORRECT, rating=rating,
                 most=gear.taps_max_a, cites=LISTED)  # fmt: skip


def _other_leg(facts: Facts, gear: Gear, breaker: Breaker | None) -> Check | None:
    """Channels multiply by the voltage of a leg that the breaker of the voltage leads is not on."""
    used = tuple(sorted({each.voltage_leg for each in facts.channels if each.gear == gear.id and each.voltage_leg}))
    if breaker is None or not used:
        return None
    legs = facts.legs_of(breaker)
    if legs and not set(used) <= set(legs):
        return found(facts, IDS[0], gear, False, "other_legs", severity=Severity.CORRECT, used=used, legs=legs,
                     cites=LISTED)  # fmt: skip
    if not legs and breaker.poles is not None and breaker.poles < len(used):
        return found(facts, IDS[0], gear, False, "legs", severity=Severity.CORRECT, used=used, poles=breaker.poles,
                     cites=LISTED)  # fmt: skip
    return None
