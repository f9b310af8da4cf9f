"""The fewest locks between every feed and a zone: a smallest cut by maximum flow, nearest to feeds or work."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Iterable

from deadfront.topology.network import Device, Network

Lockable = Callable[[Device], bool]


def certain(device: Device) -> bool:
    """A device that counts as lockable: a hand can open it and it is known to take a lock; not known is no."""
    return device.opens and device.lockable is True


def hoped(device: Device) -> bool:
    """A device that would count if every lock not looked at were there."""
    return device.opens and device.lockable is not False


def beyond_locks(
    network: Network, allowed: Lockable = certain, feeds_off: Collection[str] = ()
) -> frozenset[str]:  # fmt: skip
    """Places that stay live with every lockable device open and every throw closed: nobody here isolates them."""
    reached = {feed.place for feed in network.feeds if feed.id not in feeds_off}
    wait = list(reached)
    while wait:
        here = wait.pop()
        for device in network.ends.get(here, ()):
            there = device.b if device.a == here else device.a
            if there not in reached and not allowed(device):
                reached.add(there)
                wait.append(there)
    return frozenset(reached)


def fewest_locks(
    network: Network, targets: Iterable[str], allowed: Lockable = certain, feeds_off: Collection[str] = (), *,
    near_work: bool = False,
) -> tuple[str, ...] | None:  # fmt: skip
    """The fewest devices that, locked open, part every target from every feed with all throws closed.

    Args:
        network: The network; every throw of transfer equipment counts as closed, for an interlock is not a lock.
        targets: Places that are to be dead.
        allowed: Which devices may be used.
        feeds_off: Ids of feeds that others isolate.
        near_work: Of all smallest sets the one nearest to the targets, which leaves most of the house on; else the one
            nearest to the feeds, which leaves least live.

    Returns:
        Ids of the devices; None where no set does it.
    """
    goal = set(targets)
    starts = [feed.place for feed in network.feeds if feed.id not in feeds_off]
    if goal & beyond_locks(network, allowed, feeds_off):
        return None
    flow: dict[str, int] = {}
    while True:
        reached, path = _augment(network, starts, goal, allowed, flow)
        if path is None:
            if near_work:
                reached = _reaching(network, goal, allowed, flow)
            return tuple(
                each.id for each in network.devices if allowed(each) and (each.a in reached) != (each.b in reached)
            )
        for device, forward in path:
            flow[device.id] = flow.get(device.id, 0) + (1 if forward else -1)


def _reaching(network: Network, goal: set[str], allowed: Lockable, flow: dict[str, int]) -> set[str]:
    """Places from which one more unit could still flow to the goal."""
    found, wait = set(goal), deque(goal)
    while wait:
        there = wait.popleft()
        for device in network.ends.get(there, ()):
            forward = device.b == there
            here = device.a if forward else device.b
            if here not in found and _room(device, forward, allowed, flow):
                found.add(here)
                wait.append(here)
    return found


Way = list[tuple[Device, bool]]


def _augment(
    network: Network, starts: list[str], goal: set[str], allowed: Lockable, flow: dict[str, int]
) -> tuple[set[str], Way | None]:
    """Places that still can be reached, and the shortest way to the goal by which one more unit can flow."""
    came: dict[str, tuple[Device, bool] | None] = dict.fromkeys(starts)
    wait = deque(starts)
    while wait:
        here = wait.popleft()
        if here in goal:
            return set(came), _way(came, here)
        for device in network.ends.get(here, ()):
            forward = device.a == here
            there = device.b if forward else device.a
            if there not in came and _room(device, forward, allowed, flow):
                came[there] = (device, forward)
                wait.append(there)
    return set(came), None


def _room(device: Device, forward: bool, allowed: Lockable, flow: dict[str, int]) -> bool:
    """Whether one more unit can pass: a lockable device carries one either way, all else any number."""
    if not allowed(device):
        return True
    return flow.get(device.id, 0) * (1 if forward else -1) < 1


def _way(came: dict[str, tuple[Device, bool] | None], end: str) -> Way:
    """The steps back from a place to where the search began."""
    way: Way = []
    step = came[end]
    while step is not None:
        device, forward = step
        way.append(step)
        step = came[device.a if forward else device.b]
    return way
