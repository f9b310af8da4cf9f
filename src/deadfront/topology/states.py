"""What is live in a network, and every state its transfer equipment can be in."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from itertools import chain, combinations, product

from deadfront.topology.network import Network, TransferGroup

Positions = Mapping[str, frozenset[str]]
"""By transfer equipment: the throws that are closed. Equipment that is not named has all of its throws closed."""


def live(
    network: Network, open_devices: Collection[str] = (), positions: Positions | None = None,
    feeds_off: Collection[str] = (),
) -> frozenset[str]:  # fmt: skip
    """Every place that a feed reaches through closed devices.

    Args:
        network: The network.
        open_devices: Ids of devices that stand open.
        positions: Closed throws by transfer equipment; left out: all closed, the worst case.
        feeds_off: Ids of feeds that give nothing.
    """
    shut = set(open_devices) | held_open(network, positions or {})
    return joined_with(network, (feed.place for feed in network.feeds if feed.id not in feeds_off), shut)


def joined_with(network: Network, places: Iterable[str], open_devices: Collection[str] = ()) -> frozenset[str]:
    """Every place that closed devices join with some places, these included."""
    shut, reached = set(open_devices), set(places)
    wait = list(reached)
    while wait:
        here = wait.pop()
        for device in network.ends.get(here, ()):
            if device.id not in shut:
                there = device.b if device.a == here else device.a
                if there not in reached:
                    reached.add(there)
                    wait.append(there)
    return frozenset(reached)


def held_open(network: Network, positions: Positions) -> set[str]:
    """Throws that stand open in these positions."""
    return {
        throw
        for group in network.groups
        if group.id in positions
        for throw in group.throws
        if throw not in positions[group.id]
    }


def states(network: Network) -> Iterator[Positions]:
    """Every state of the transfer equipment: one throw closed or none where it excludes, else any set of throws."""
    for choice in product(*(closed_sets(group) for group in network.groups)):
        yield dict(zip((group.id for group in network.groups), choice, strict=True))


def worst_states(network: Network) -> Iterator[Positions]:
    """The states that hold all others: as many throws closed as each piece of equipment lets be closed at once."""
    sets = [
        [frozenset({throw}) for throw in group.throws] if group.excludes and group.throws
        else [frozenset(group.throws)]
        for group in network.groups
    ]  # fmt: skip
    for choice in product(*sets):
        yield dict(zip((group.id for group in network.groups), choice, strict=True))


def closed_sets(group: TransferGroup) -> list[frozenset[str]]:
    """Every set of throws that can be closed at once."""
    most = 1 if group.excludes else len(group.throws)
    sizes = range(most + 1)
    return [frozenset(each) for each in chain.from_iterable(combinations(group.throws, size) for size in sizes)]
