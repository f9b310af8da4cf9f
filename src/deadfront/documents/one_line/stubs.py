"""Branch circuits on a one-line: large loads and vehicle chargers one by one, the rest counted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from deadfront.documents.one_line.twig import Twig
from deadfront.job.panel_things import Breaker
from deadfront.job.things import House

LARGE_A = Decimal(30)
MOST_ALONE = 2
"""Large loads that are drawn each by itself; more of them stand in one stub, one on a line."""


def stubs_of(house: House, panel: str, branches: Sequence[Twig]) -> Iterator[Twig]:
    """Breakers of a panel with nothing but branch circuits behind them, as few stubs.

    Args:
        branches: The twigs of those breakers.
    """
    breakers = {each.id: each for each in house.breakers}
    fed = {each.breaker for each in house.circuits}
    evse = {each.circuit for each in house.loads if each.kind == "evse"}
    charging = {each.breaker for each in house.circuits if each.id in evse}
    alone = [each for each in branches if each.thing in charging]
    large = [each for each in branches if each.thing in fed and each not in alone and _large(breakers.get(each.thing))]
    small = [each for each in branches if each not in alone and each not in large]
    if small:
        yield Twig(f"{panel}-circuits", "circuits", panel, holds=tuple(each.thing for each in small), enclosure=panel)
    if len(large) > MOST_ALONE:
        yield Twig(f"{panel}-large", "circuits", panel, holds=tuple(each.thing for each in large), enclosure=panel)
        large = []
    for each in (*large, *alone):
        each.below = ends_of(house, each.thing)
        yield each


def _large(breaker: Breaker | None) -> bool:
    return breaker is not None and breaker.poles == 2 and breaker.rating_a is not None and breaker.rating_a >= LARGE_A


def ends_of(house: House, breaker: str) -> list[Twig]:
    """The ends of the circuits on a breaker, each a symbol of its own."""
    evse = {each.circuit for each in house.loads if each.kind == "evse"}
    return [
        Twig(f"{circuit.id}-end", "evse" if circuit.id in evse else "load", circuit.id, (f"circuit/{circuit.id}",))
        for circuit in house.circuits
        if breaker and circuit.breaker == breaker
    ]
