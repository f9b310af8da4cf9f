"""What feeds the conductor in a window: its breaker, the service, or what would tell."""

from __future__ import annotations

from typing import NamedTuple

from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.job.source_things import Source, Switch, Transfer
from deadfront.job.thing import Thing

SERVICE = "service"


class Feed(NamedTuple):
    """Where a conductor comes from.

    Args:
        breaker: Its breaker; None for the service, or where not known.
        service: It comes from the service without a breaker of its own.
        asks: The thing and the field that would tell, where neither is known.
    """

    breaker: Breaker | None = None
    service: bool = False
    asks: tuple[Thing, str] | None = None


def feed_of(at: HouseAt, thing: Thing | None) -> Feed:
    """What a circuit, source or panel is fed from: through transfer equipment and disconnects to the first breaker."""
    if isinstance(thing, Circuit | Source):
        return _by_name(at, thing.breaker, (thing, "breaker"), set())
    if isinstance(thing, Panel):
        return _by_name(at, thing.fed_by, (thing, "fed_by"), {thing.id})
    return Feed()


def _by_name(at: HouseAt, name: str | None, asks: tuple[Thing, str], seen: set[str]) -> Feed:
    if name == SERVICE:
        return Feed(service=True)
    if name is None or name in seen:
        return Feed(asks=asks)
    house = at.house
    for breaker in house.breakers:
        if breaker.id == name:
            return Feed(breaker)
    for switch in house.switches:
        if switch.id == name:
            return _on(at, switch, seen)
    for transfer in house.transfers:
        if transfer.id == name:
            return _on(at, transfer, seen)
    return Feed(asks=asks)


def _on(at: HouseAt, through: Switch | Transfer, seen: set[str]) -> Feed:
    field = "fed_by" if isinstance(through, Switch) else "normal"
    return _by_name(at, getattr(through, field), (through, field), {*seen, through.id})


def hots(at: HouseAt, thing: Thing | None, feed: Feed) -> int | None:
    """Hot conductors of what is measured: those of its breaker shared out among its circuits; None where not known."""
    breaker = feed.breaker
    poles = None if breaker is None else breaker.poles or len(breaker.spaces) or None
    if isinstance(thing, Circuit) and poles is not None and breaker is not None:
        sharing = sum(1 for each in at.house.circuits if each.breaker == breaker.id)
        return 1 if sharing >= poles else poles
    if isinstance(thing, Source) and poles is None and thing.volts is not None:
        return 1 if thing.volts < 200 else 2
    if isinstance(thing, Panel) and poles is None:
        return 2
    return poles
