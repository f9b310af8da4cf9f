"""Random networks, and the slow way to the truth about them: every state of every switch, every set of locks.

Nothing here is shared with the planner or its checker: states are enumerated as bit masks and reachability is a matrix
of places closed under itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from random import Random

from deadfront.topology.network import Device, DeviceKind, Feed, Network, TransferGroup


@dataclass(frozen=True)
class Trial:
    """A random network with the places that are to be dead."""

    network: Network
    targets: tuple[str, ...]

    @property
    def has_transfer(self) -> bool:
        """Whether equipment that keeps its sides apart is in it."""
        return any(group.excludes for group in self.network.groups)


def trial(seed: int) -> Trial:
    """A network of 4 to 9 places, 1 to 3 feeds, up to two pieces of transfer equipment; at most twelve switches."""
    dice = Random(seed)
    places = [f"p{n}" for n in range(dice.randint(4, 9))]
    devices: list[Device] = []
    switches = 0
    for n in range(dice.randint(len(places) - 1, len(places) + 3)):
        if n + 1 < len(places) and dice.random() < 0.8:
            a, b = places[n + 1], places[dice.randint(0, n)]
        else:
            a, b = dice.sample(places, 2)
        opens = switches < 8 and dice.random() < 0.9
        switches += opens
        kinds: tuple[DeviceKind, ...] = ("breaker", "disconnect", "main") if opens else ("conductors", "meter", "tie")
        kind = dice.choice(kinds)
        lockable = (
            dice.choice((True, True, True, True, True, False, None)) if opens else dice.choice((None, False, True))
        )
        devices.append(Device(f"d{n}", kind, a, b, lockable))
    groups = []
    for n in range(dice.choice((0, 0, 1, 1, 2))):
        normal, alternate, load = dice.sample(places, 3)
        ids = (f"t{n}:n", f"t{n}:a")
        for ident, side in zip(ids, (normal, alternate), strict=True):
            devices.append(Device(ident, "throw", side, load, dice.choice((True, True, False, None))))
        groups.append(TransferGroup(f"t{n}", ids, dice.choice((True, True, False, None))))
    feeds = tuple(Feed(f"f{n}", dice.choice(places[:3]), "utility") for n in range(dice.choice((1, 2, 2, 3))))
    targets = tuple(dice.sample(places[2:], dice.choice((1, 1, 1, 2))))
    return Trial(Network(tuple(places), tuple(devices), tuple(groups), feeds), targets)


def live_somewhere(case: Trial, locks: frozenset[str], trusting: bool) -> bool:
    """Whether a target is live in any state at all, all switches not locked standing either way."""
    network = case.network
    free = [d for d in network.devices if d.kind not in ("conductors", "meter", "tie") and d.id not in locks]
    always = [d for d in network.devices if d.kind in ("conductors", "meter", "tie")]
    for mask in range(1 << len(free)):
        closed = [d for n, d in enumerate(free) if mask >> n & 1]
        names = {d.id for d in closed}
        if trusting and any(g.excludes and len(names & set(g.throws)) > 1 for g in network.groups):
            continue
        if _reaches(network, [*always, *closed], case.targets):
            return True
    return False


def _reaches(network: Network, closed: list[Device], targets: tuple[str, ...]) -> bool:
    number = {place: n for n, place in enumerate(network.places)}
    rows = [1 << n for n in range(len(network.places))]
    for device in closed:
        a, b = number[device.a], number[device.b]
        rows[a] |= 1 << b
        rows[b] |= 1 << a
    for middle in range(len(rows)):
        for n, row in enumerate(rows):
            if row >> middle & 1:
                rows[n] |= rows[middle]
    wanted = sum(1 << number[place] for place in set(targets))
    return any(rows[number[feed.place]] & wanted for feed in network.feeds)


def fewest_by_trying(case: Trial, trusting: bool) -> int | None:
    """The size of the smallest set of locks that works, found by trying all sets; None where none does."""
    locks = [d.id for d in case.network.devices
             if d.lockable is True and d.kind not in ("conductors", "meter", "tie")]  # fmt: skip
    for size in range(len(locks) + 1):
        if any(not _live_worst(case, frozenset(some), trusting) for some in combinations(locks, size)):
            return size
    return None


def _live_worst(case: Trial, locks: frozenset[str], trusting: bool) -> bool:
    """The same question with every switch closed that may be: what a switch opens, it never makes live."""
    network = case.network
    closed = [d for d in network.devices if d.id not in locks]
    if not trusting:
        return _reaches(network, closed, case.targets)
    sets: list[list[Device]] = [closed]
    for group in network.groups:
        if group.excludes:
            sets = [
                [d for d in some if d.id not in group.throws or d.id == one] for some in sets for one in group.throws
            ]
    return any(_reaches(network, some, case.targets) for some in sets)
