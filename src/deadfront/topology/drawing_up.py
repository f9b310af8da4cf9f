"""The hand that draws a network up: places, devices and feeds are put down one after another."""

from __future__ import annotations

from dataclasses import dataclass, field

from deadfront.job.house import things
from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.source_things import Source, Switch, Transfer
from deadfront.job.things import House
from deadfront.topology.network import Device, DeviceKind, Feed, Network, TransferGroup


def has_throws(transfer: Transfer) -> bool:
    """Whether it is equipment with throws of its own: an interlock of breakers is not."""
    return transfer.kind != "interlock" or not transfer.held_apart


@dataclass
class DrawingUp:
    """A network under way.

    Args:
        house: The house.
    """

    house: House
    places: dict[str, str] = field(default_factory=dict)
    devices: dict[str, Device] = field(default_factory=dict)
    groups: list[TransferGroup] = field(default_factory=list)
    feeds: list[Feed] = field(default_factory=list)
    unknowns: list[tuple[str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        house = self.house
        self.panels: dict[str, Panel] = {each.id: each for each in house.panels}
        self.breakers: dict[str, Breaker] = {each.id: each for each in house.breakers}
        self.switches: dict[str, Switch] = {each.id: each for each in house.switches}
        self.transfers: dict[str, Transfer] = {each.id: each for each in house.transfers}
        self.sources: dict[str, Source] = {each.id: each for each in house.sources}
        self.meters = {each.id for each in house.meters if each.purpose == "utility"}
        self.ids = {thing.id for _, thing in things(house)}

    def place(self, name: str, enclosure: str = "") -> str:
        """Put down a place; its enclosure counts from the first time it is named."""
        if enclosure or name not in self.places:
            self.places[name] = self.places.get(name) or enclosure
        return name

    def device(
        self, ident: str, kind: DeviceKind, a: str, b: str, lockable: bool | None = None, enclosure: str = "",
        automatic: bool = False, thing: str = "",
    ) -> None:  # fmt: skip
        """Put down a device; one that is named again keeps its first two terminals and gets a second of its kind."""
        while ident in self.devices:
            if {self.devices[ident].a, self.devices[ident].b} == {a, b}:
                return
            ident += "+"
        self.place(a)
        self.place(b)
        self.devices[ident] = Device(ident, kind, a, b, lockable, enclosure, automatic, thing)

    def joined(self, ident: str, a: str, b: str) -> None:
        """Conductors between two places."""
        if a != b:
            self.device(ident, "conductors", a, b)

    def tie(self, ident: str, a: str, b: str) -> None:
        """A shared neutral, control feed or sensing lead between two places."""
        self.device(ident, "tie", a, b)

    def not_known(self, what: str, ident: str, place: str) -> None:
        """What feeds a place is not recorded: it counts as live until somebody finds out."""
        self.doubt(what, ident)
        self.feeds.append(Feed(f"unknown/{ident}/{what}", self.place(place), "unknown"))

    def doubt(self, what: str, ident: str) -> None:
        """Something of the drawing is not recorded, or cannot be so."""
        if (what, ident) not in self.unknowns:
            self.unknowns.append((what, ident))

    def panel_of(self, breaker: Breaker) -> str | None:
        """The panel a breaker is in: the one it names, else the only one there is."""
        if breaker.panel is None:
            return next(iter(self.panels)) if len(self.panels) == 1 else None
        return breaker.panel if breaker.panel in self.panels else None

    def load_side(self, ident: str) -> str | None:
        """The place at the load side of what an id names, None for one that is not there."""
        if ident in self.breakers:
            return f"out/{ident}"
        if ident in self.switches:
            return f"switch/{ident}/load"
        if ident in self.transfers and has_throws(self.transfers[ident]):
            return f"transfer/{ident}/load"
        if ident in self.meters:
            return f"meter/{ident}/load"
        return f"source/{ident}" if ident in self.sources else None

    def network(self) -> Network:
        """The network as it stands now."""
        return Network(
            tuple(self.places), tuple(self.devices.values()), tuple(self.groups), tuple(self.feeds),
            {place: enclosure for place, enclosure in self.places.items() if enclosure}, tuple(self.unknowns),
        )  # fmt: skip
