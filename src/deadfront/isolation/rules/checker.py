"""Every plan is checked again by itself before anybody sees it: own reachability, every state, nothing of the planner.

It joins places into groups with the closed devices of one state and asks whether a feed stands in the group of a
target. It shares no code with the planner or with topology.states.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from itertools import product

from deadfront.topology.network import Network

MOST_STATES = 64


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the checker found of a set of locks.

    Args:
        dead: No target is live in any state.
        live: Targets that are live in some state.
        not_locks: Devices of the set that are not there, cannot be opened or are not known to take a lock.
        states: How many states were tried.
    """

    dead: bool
    live: frozenset[str]
    not_locks: tuple[str, ...]
    states: int

    @property
    def holds(self) -> bool:
        """Whether the set may be shown as a plan."""
        return self.dead and not self.not_locks


def verdict(
    network: Network, locks: Collection[str], targets: Iterable[str], *, trusting: bool = False,
    feeds_off: Collection[str] = (),
) -> Verdict:  # fmt: skip
    """Whether the targets are dead with these devices locked open, in every state of all other things.

    Args:
        network: The network.
        locks: Ids of devices locked open; everything else may be closed.
        targets: Places that are to be dead.
        trusting: Transfer equipment known to exclude never has two throws closed; else any number may be.
        feeds_off: Ids of feeds that others have isolated.
    """
    wanted = tuple(targets)
    live: set[str] = set()
    count = 0
    for shut in _open_throws(network, trusting):
        count += 1
        live |= _live_among(network, wanted, set(locks) | shut, set(feeds_off))
    by_id = {device.id: device for device in network.devices}
    bad = tuple(
        each for each in locks if each not in by_id or by_id[each].lockable is not True
        or by_id[each].kind in ("meter", "conductors", "tie", "inverter")
    )  # fmt: skip
    return Verdict(not live, frozenset(live), bad, count)


def _open_throws(network: Network, trusting: bool) -> Iterator[set[str]]:
    """Open throws of every state; beyond the most that are tried, the states with the most throws closed hold all."""
    choices: list[list[set[str]]] = []
    for group in network.groups:
        every = set(group.throws)
        if trusting and group.excludes is True:
            choices.append([every - {each} for each in group.throws] + [every])
        else:
            masks = product((False, True), repeat=len(group.throws))
            choices.append([{t for t, shut in zip(group.throws, mask, strict=True) if shut} for mask in masks])
    size = 1
    for each in choices:
        size *= len(each)
    if size > MOST_STATES:
        choices = [[each for each in sets if not any(other < each for other in sets)] for sets in choices]
    for combination in product(*choices):
        yield set().union(*combination)


def _live_among(network: Network, wanted: tuple[str, ...], shut: set[str], off: set[str]) -> set[str]:
    """Targets that stand in one group with a feed."""
    head = {place: place for place in network.places}

    def top(place: str) -> str:
        while head[place] != place:
            head[place] = head[head[place]]
            place = head[place]
        return place

    for device in network.devices:
        if device.id not in shut:
            head[top(device.a)] = top(device.b)
    hot = {top(feed.place) for feed in network.feeds if feed.id not in off}
    return {place for place in wanted if top(place) in hot}
