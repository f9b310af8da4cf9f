"""The proof's plan made from a house: its channels, and which conductors the current of each circuit passes."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.codebook.book import Codebook
from deadfront.job.house import HouseAt
from deadfront.job.metering_things import Channel
from deadfront.job.panel_things import Breaker
from deadfront.metering.rules.alone import is_alone, neutral_of
from deadfront.metering.rules.facts import SERVICE, Facts
from deadfront.metering.rules.feeding import Feed, hots
from deadfront.msg import Msg, said
from deadfront.results.circuits import CircuitsResult
from deadfront.results.proof import Conductor, ProofChannel, ProofPlan


def proof_plan(book: Codebook, at: HouseAt) -> ProofPlan:
    """What load steps in this house are held against.

    What the spaces of a breaker do not tell the legs of is left out: a leg that is only planned proves nothing.
    """
    facts = Facts(book, at, CircuitsResult())
    paths: dict[Conductor, tuple[Conductor, ...]] = {
        Conductor(SERVICE, leg): (Conductor(SERVICE, leg),) for leg in facts.legs
    }
    one_hot: frozenset[str] = frozenset()
    names: dict[str, Msg] = {SERVICE: said("metering.service")}
    for ident, breaker in _fed(facts):
        names[ident] = _name(facts, ident)
        legs = facts.legs_of(breaker)
        if len(legs) > 1 and hots(at, facts.circuits_by_id.get(ident), Feed(breaker)) == 1:
            one_hot |= {ident}
        for leg in legs:
            paths[Conductor(ident, leg)] = (Conductor(ident, leg), *_above(facts, breaker, leg))
    for channel in facts.channels:
        if channel.measures:
            names.setdefault(channel.measures, facts.conductor(channel))
    partners = {each.id: each.shares_neutral_with for each in at.house.circuits if each.shares_neutral_with}
    both = {**{other: one for one, other in partners.items()}, **partners}
    return ProofPlan(tuple(_channel(facts, each) for each in facts.channels), paths, names, facts.wye, both, one_hot)


def _fed(facts: Facts) -> Iterator[tuple[str, Breaker]]:
    """Circuits, panels and sources with the breaker each is on."""
    house = facts.at.house
    on: dict[str, str | None] = {each.id: each.breaker for each in house.circuits}
    on |= {each.id: each.breaker for each in house.sources}
    on |= {each.id: each.fed_by for each in house.panels}
    for ident, breaker in on.items():
        if breaker is not None and breaker in facts.breakers:
            yield ident, facts.breakers[breaker]


def _above(facts: Facts, breaker: Breaker, leg: str) -> tuple[Conductor, ...]:
    """The feeders and the service that supply a breaker, nearest first."""
    found: list[Conductor] = []
    seen: set[str] = set()
    panel = facts.panels.get(breaker.panel or "")
    while panel is not None and panel.id not in seen:
        seen.add(panel.id)
        feeder = facts.breakers.get(panel.fed_by or "")
        if feeder is None:
            break
        found.append(Conductor(panel.id, leg))
        panel = facts.panels.get(feeder.panel or "")
    return (*found, Conductor(SERVICE, leg))


def _name(facts: Facts, ident: str) -> Msg:
    thing = facts.circuits_by_id.get(ident) or facts.panels.get(ident) or facts.sources.get(ident)
    return said("thing.by_id", id=ident) if thing is None else facts.name_of(thing)


def _channel(facts: Facts, channel: Channel) -> ProofChannel:
    own = Conductor(channel.measures, channel.leg) if channel.measures and channel.leg else None
    return ProofChannel(
        channel.id, facts.name_of(channel), own, channel.voltage_leg or "", channel.window or "",
        channel.doubled == "watts", facts.role(channel), channel.production_reads or "", is_alone(facts, channel),
        neutral_of(facts, channel),
    )  # fmt: skip
