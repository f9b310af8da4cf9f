"""The fewest locks where transfer equipment is trusted to keep its sides apart: live ways hit by branch and bound.

The exact plan explains the conservative one; it is never the plan itself, for an interlock is not a lock.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable
from math import prod

from deadfront.isolation.rules.cut import certain
from deadfront.topology.network import Network
from deadfront.topology.states import Positions, held_open, worst_states

Clause = frozenset[str]
MOST_STATES = 64
"""Beyond so many states of transfer equipment the explanation is not worked out, and the plan says so."""


def is_worked_out(network: Network) -> bool:
    """Whether the equipment has few enough states to try them all."""
    return prod(len(group.throws) for group in network.groups if group.excludes and group.throws) <= MOST_STATES


def fewest_trusting(
    network: Network, targets: Iterable[str], feeds_off: Collection[str] = (), rather: Collection[str] = ()
) -> tuple[str, ...] | None:
    """The fewest devices that part every target from every feed in every state the transfer equipment can be in.

    A live way in some state is found that the set at hand does not open; its lockable devices become a clause; the
    smallest set that hits every clause is found again; until no live way is left.

    Args:
        network: The network.
        targets: Places that are to be dead.
        feeds_off: Ids of feeds that others isolate.
        rather: Devices taken rather than others, among sets of one size.

    Returns:
        Ids of the devices; None where a live way has no lockable device on it.
    """
    goal = set(targets)
    states = tuple(worst_states(network))
    clauses: list[Clause] = []
    best: frozenset[str] = frozenset()
    while True:
        way = next((w for s in states if (w := _live_way(network, goal, best, s, feeds_off)) is not None), None)
        if way is None:
            return tuple(each.id for each in network.devices if each.id in best)
        if not way:
            return None
        clauses.append(way)
        best = smallest_hitting(clauses, rather)


def _live_way(
    network: Network, goal: set[str], opened: Collection[str], state: Positions, feeds_off: Collection[str]
) -> Clause | None:
    """The lockable devices on a live way with the fewest of them; None where no target is live."""
    shut = set(opened) | held_open(network, state)
    locks: dict[str, Clause] = {f.place: frozenset() for f in network.feeds if f.id not in feeds_off}
    wait = deque(locks)
    done: set[str] = set()
    while wait:
        here = wait.popleft()
        if here in done:
            continue
        done.add(here)
        if here in goal:
            return locks[here]
        for device in network.ends.get(here, ()):
            there = device.b if device.a == here else device.a
            if device.id in shut or there in done:
                continue
            found = locks[here] | {device.id} if certain(device) else locks[here]
            if there not in locks or len(found) < len(locks[there]):
                locks[there] = found
                (wait.append if certain(device) else wait.appendleft)(there)
    return None


def smallest_hitting(clauses: Iterable[Clause], rather: Collection[str] = ()) -> frozenset[str]:
    """A smallest set with a member in every clause, by branch and bound on the shortest clause not hit yet.

    Args:
        clauses: Sets of which each must be hit.
        rather: Members taken rather than others, among sets of one size.
    """
    every = sorted(set(clauses), key=lambda each: (len(each), sorted(each)))
    best: frozenset[str] = frozenset().union(*every)

    def cost(chosen: frozenset[str]) -> tuple[int, int]:
        return len(chosen), sum(each not in rather for each in chosen)

    def search(chosen: frozenset[str], barred: frozenset[str]) -> None:
        nonlocal best
        left = [each - barred for each in every if not each & chosen]
        if not left:
            best = chosen if cost(chosen) < cost(best) else best
            return
        size, others = cost(chosen)
        if (size + _apart(left), others) >= cost(best) or any(not each for each in left):
            return
        tried: frozenset[str] = frozenset()
        shortest = min(left, key=lambda each: len(each))
        for device in sorted(shortest, key=lambda each: (each not in rather, each)):
            search(chosen | {device}, barred | tried)
            tried |= {device}

    search(frozenset(), frozenset())
    return best


def _apart(clauses: list[Clause]) -> int:
    """How many clauses have no member in common, taken as they come: at least so many devices are needed."""
    taken: set[str] = set()
    count = 0
    for each in sorted(clauses, key=len):
        if not each & taken:
            taken |= each
            count += 1
    return count
