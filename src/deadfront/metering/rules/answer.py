"""The metering answer of a house: every rule of `each` on every channel, and the plan line by line."""

from __future__ import annotations

from decimal import Decimal

from deadfront.codebook.book import Codebook
from deadfront.job.house import HouseAt
from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.registry import all_checks
from deadfront.msg import Msg, said
from deadfront.results.circuits import CircuitsResult
from deadfront.results.metering import ChannelPlan, MeteringResult, counts
from deadfront.worksheet.check import Check, Outcome

WORST = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS)


def metering_answer(book: Codebook, at: HouseAt, circuits: CircuitsResult) -> MeteringResult:
    """Every channel held against its conductor, its marking and the meter's settings; nothing without channels."""
    if not at.house.channels:
        return MeteringResult()
    facts = Facts(book, at, circuits)
    checks = all_checks(facts)
    return MeteringResult(tuple(_line(facts, each, checks) for each in facts.channels), checks)


def _line(facts: Facts, channel: Channel, checks: tuple[Check, ...]) -> ChannelPlan:
    own = [c.outcome for c in checks if c.thing == channel.id and counts(c)]
    breaker = facts.breaker_of(channel)
    gear = facts.gear.get(channel.gear or "")
    called = said("thing.named", name=gear.name or gear.id) if gear else None
    return ChannelPlan(
        channel.id, facts.name_of(channel), called, channel.input or "", facts.conductor(channel),
        channel.measures or "", channel.leg or "", facts.role(channel), ratio(channel), _text(channel.set_primary_a),
        channel.arrow_fitted_to or "", channel.arrow_points_to or "", channel.doubled or "",
        facts.reach_of(channel), facts.at.tag(channel.id), next((o for o in WORST if o in own), Outcome.CANNOT_TELL),
        tuple(breaker.spaces) if breaker else (), channel.window or "", _text(channel.rating_a), channel.output or "",
        channel.voltage_leg or "",
    )  # fmt: skip


def _text(amperes: Decimal | None) -> str:
    return "" if amperes is None else f"{amperes.normalize():f}"


def ratio(channel: Channel) -> Msg | None:
    """The ratio marked on a current transformer; None where not both parts are known."""
    if channel.primary_a is None:
        return None
    if channel.secondary_mv is not None:
        return said("metering.ratio_mv", primary=channel.primary_a, secondary=channel.secondary_mv)
    if channel.secondary_ma is not None:
        return said("metering.ratio_ma", primary=channel.primary_a, secondary=channel.secondary_ma)
    return None
