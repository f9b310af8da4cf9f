"""The breakers of a panel, and what protects it: its own main, or what feeds it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Panel
from deadfront.msg import Msg, said


def panel_name(panel: Panel) -> Msg:
    """What a panel is called."""
    return said("thing.named", name=panel.name) if panel.name else said("thing.by_id", id=panel.id)


def breakers_in(at: HouseAt, panel: Panel) -> list[Breaker]:
    """Breakers of a panel; one that names no panel is in the only one there is."""
    only = len(at.house.panels) == 1
    return [each for each in at.house.breakers if each.panel == panel.id or (each.panel is None and only)]


def protects(at: HouseAt, panel: Panel) -> list[tuple[Decimal, bool]]:
    """Ratings that hold for the current into a panel [A], and whether each is of a breaker or fuse.

    Its own main; else what feeds it: a breaker, a disconnect with what feeds that, transfer equipment, the service.
    """
    mains = [each.rating_a for each in breakers_in(at, panel) if each.role == "main" and each.rating_a]
    feed = panel.fed_by or ("service" if len(at.house.panels) == 1 else None)
    found = [(rating, True) for rating in mains]
    return found + [each for each in _upstream(at, feed, frozenset()) if not mains or feed != "service"]


def _upstream(at: HouseAt, feed: str | None, seen: frozenset[str]) -> Iterator[tuple[Decimal, bool]]:
    house = at.house
    if feed == "service":
        if house.service.disconnect.rating_a:
            yield house.service.disconnect.rating_a, True
        return
    if feed is None or feed in seen:
        return
    for breaker in house.breakers:
        if breaker.id == feed and breaker.rating_a:
            yield breaker.rating_a, True
    for switch in house.switches:
        if switch.id == feed:
            yield from ((rating, rating is switch.fuse_a) for rating in (switch.rating_a, switch.fuse_a) if rating)
            yield from _upstream(at, switch.fed_by, seen | {feed})
    for gear in house.transfers:
        if gear.id == feed:
            yield from ((rating, False) for rating in (gear.rating_a,) if rating)
            yield from _upstream(at, gear.normal, seen | {feed})
