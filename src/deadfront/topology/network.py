"""The house as a network for isolation and transfer: every device with two terminals, every feed, every enclosure.

Places keep the names of graph.py ("transformer", "service point", "service", "bus", "bus/PANEL", "out/BREAKER",
"end/CIRCUIT"); to these come "meter/ID/line|load", "outside/line|load", "main/PANEL" (line side of a panel's own main),
"feeder/PANEL" (a joint on its feeder), "switch/ID/line|load", "transfer/ID/normal|alternate|load", "control/ID/FEED"
(control power in transfer equipment), "signal/ID/sender|receiver|supply" (wires of a signal at either end, supply of
its sender), "gear/ID/0|1" (supply and voltage leads of gear in a panel), "source/ID" (output terminals), "dc/ID"
(direct-current terminals of its inverter), "inside/ID" (array, cells, the set at a cord).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

DeviceKind = Literal["breaker", "main", "disconnect", "meter", "conductors", "throw", "cord", "inverter", "tie"]
FeedKind = Literal["utility", "solar", "battery", "generator", "vehicle", "inlet", "unknown"]
OPENS: frozenset[str] = frozenset({"breaker", "main", "disconnect", "throw", "cord"})
"""Kinds of devices that a hand can open; a meter is no disconnect, conductors and ties stay closed."""

BY_ITSELF = frozenset({"circuit", "branch", "control", "leads", "signal"})
"""What is not recorded and ends there: its wires count as live, and nothing else hangs on it."""


@dataclass(frozen=True, slots=True)
class Device:
    """Something with two terminals that joins two places.

    Args:
        id: Id of the breaker, switch or inlet; "disconnect" (service), "outside", "T:normal", "T:alternate"; of
            conductors and ties a name of their own.
        kind: What it is.
        a: Place at its one terminal, the source's side as recorded.
        b: Place at the other.
        lockable: Can be locked open by means that stay in place; None: not known, and then it does not count as so.
        enclosure: What it is mounted in: id of a panel, switch, transfer or source, "outside", "service".
        automatic: Closes or opens by itself or by remote command.
        thing: Id of the thing in the job it stands for; "" for none.
    """

    id: str
    kind: DeviceKind
    a: str
    b: str
    lockable: bool | None = None
    enclosure: str = ""
    automatic: bool = False
    thing: str = ""

    @property
    def opens(self) -> bool:
        """Whether a hand can open it."""
        return self.kind in OPENS


@dataclass(frozen=True, slots=True)
class TransferGroup:
    """Devices of which equipment is to let only one be closed.

    Args:
        id: Of the transfer equipment.
        throws: Ids of the devices.
        excludes: Never two of them closed, by listed means; None: not known, and then any may be.
        automatic: Changes over by itself.
    """

    id: str
    throws: tuple[str, ...]
    excludes: bool | None
    automatic: bool = False


@dataclass(frozen=True, slots=True)
class Feed:
    """What can make a place live by itself.

    Args:
        id: "utility", the id of a source, or "unknown/THING" for something whose feed is not recorded.
        place: Where it feeds in.
        kind: What it is.
        can_be_off: It can be shut down at all; never the utility, an array in daylight or the cells of a battery.
        automatic: Starts or connects by itself; what is not known counts as so.
        stored_s: Marked time until its stored energy is gone [s]; None: not known, 0: none.
        holds_energy: It keeps a charge after it is shut down.
    """

    id: str
    place: str
    kind: FeedKind
    can_be_off: bool = False
    automatic: bool = True
    stored_s: float | None = 0
    holds_energy: bool = False


@dataclass(frozen=True)
class Network:
    """All of a house that can be live, and what joins it.

    Args:
        places: Every place, the utility's first.
        devices: Every device, conductors and ties included.
        groups: Transfer equipment and interlocks.
        feeds: Everything that can make a place live.
        enclosure_of: The enclosure that a place is in.
        unknowns: What is not recorded, as (what, id): "panel" without a known feed, "source" joined nobody knows
            where, "breaker" in no known panel with something but circuits behind it, "branch" one with circuits alone,
            "meter" whose load is not recorded, "loop" of what is fed by itself, "island" that nothing feeds, "leads" of
            automatic transfer equipment, ...
    """

    places: tuple[str, ...] = ()
    devices: tuple[Device, ...] = ()
    groups: tuple[TransferGroup, ...] = ()
    feeds: tuple[Feed, ...] = ()
    enclosure_of: Mapping[str, str] = field(default_factory=dict)
    unknowns: tuple[tuple[str, str], ...] = ()

    @cached_property
    def device(self) -> Mapping[str, Device]:
        """Devices by id."""
        return {each.id: each for each in self.devices}

    @cached_property
    def ends(self) -> Mapping[str, tuple[Device, ...]]:
        """Devices at each place."""
        found: dict[str, list[Device]] = {place: [] for place in self.places}
        for each in self.devices:
            found[each.a].append(each)
            found[each.b].append(each)
        return {place: tuple(devices) for place, devices in found.items()}

    @property
    def doubts(self) -> tuple[tuple[str, str], ...]:
        """What is not recorded and may let a feed in anywhere, so that no plan can tell."""
        return tuple(each for each in self.unknowns if each[0] not in BY_ITSELF)

    def inside(self, enclosure: str) -> tuple[str, ...]:
        """Every place in an enclosure."""
        return tuple(place for place in self.places if self.enclosure_of.get(place) == enclosure)
