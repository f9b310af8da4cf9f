"""What places, devices and feeds of a network are called, and where facts about them stand in the job."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from deadfront.job.house import HouseAt, things
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.topology.network import Device, Feed, Network
from deadfront.worksheet.missing import Missing

_ALONE = {"transformer": "transformer", "service point": "service_point", "service": "service_line",
          "bus": "service_load", "outside/line": "outside_line", "outside/load": "outside_load"}  # fmt: skip


class Names:
    """The words for one network of one house."""

    def __init__(self, at: HouseAt, network: Network) -> None:
        self.at = at
        self.network = network

    @cached_property
    def things(self) -> Mapping[str, Thing]:
        """Things by id."""
        return {thing.id: thing for _, thing in things(self.at.house)}

    def thing(self, ident: str) -> Msg:
        """What a thing is called: its own name, else what it is and where, else its id."""
        thing = self.things.get(ident)
        if ident in ("service", "outside", "drop", "bus", "line"):
            return said(f"isolation.thing.{ident}")
        if thing is None:
            return said("thing.by_id", id=ident)
        if thing.name:
            return said("thing.named", name=thing.name)
        breaker = self.things.get(thing.breaker or "") if isinstance(thing, Circuit) else thing
        if isinstance(breaker, Breaker) and breaker.spaces:
            spaces = tuple(f"{space}{breaker.half or ''}" for space in breaker.spaces)
            if breaker is not thing or breaker.rating_a is None:
                return said("thing.breaker_in" if breaker is thing else "thing.circuit_in", spaces=spaces)
            return said("thing.breaker", rating=breaker.rating_a, spaces=spaces)
        if isinstance(breaker, Breaker) and breaker is thing and breaker.role == "main" and breaker.panel:
            return said("isolation.thing.main", thing=self.thing(breaker.panel))
        return said("thing.by_id", id=ident)

    def device(self, device: Device) -> Msg:
        """What a device is called."""
        if device.kind == "throw":
            return said(f"isolation.device.{device.id.rpartition(':')[2].rstrip('+')}", thing=self.thing(device.thing))
        if device.kind == "cord":
            return said("isolation.device.cord", thing=self.thing(device.thing))
        if device.id == "disconnect":
            return said("isolation.device.main" if device.enclosure in self.things else "isolation.device.disconnect")
        if device.id == "outside":
            return said("isolation.device.outside")
        return self.thing(device.thing or device.id)

    def enclosure(self, ident: str) -> Msg:
        """What an enclosure is called."""
        kind, _, of = ident.partition("/")
        if kind == "feeder" and of:
            return said("isolation.enclosure.feeder", thing=self.thing(of))
        if ident == "service":
            return said("isolation.enclosure.service")
        return self.thing(ident)

    def place(self, place: str) -> Msg:
        """What a place is called."""
        if place in _ALONE:
            return said(f"isolation.place.{_ALONE[place]}")
        kind, _, rest = place.partition("/")
        of, _, side = rest.partition("/")
        if kind == "inside":
            feed = next((each.kind for each in self.network.feeds if each.id == of), "inlet")
            return said(f"isolation.place.inside_{feed}", thing=self.thing(of))
        if kind == "out" and isinstance(main := self.things.get(of), Breaker) and main.role == "main":
            return said("isolation.place.lugs", thing=self.thing(of))
        if place == f"control/{of}/leads":
            return said("isolation.place.leads", thing=self.thing(of))
        key = f"{kind}_{side}" if kind in ("switch", "transfer", "meter", "signal") else kind
        return said(f"isolation.place.{key}", thing=self.thing(of), feed=self.thing(side) if kind == "control" else "")

    def feed(self, feed: Feed) -> Msg:
        """What a feed is called."""
        if feed.id == "utility":
            return said("isolation.feed.utility")
        if feed.kind == "unknown":
            _, of, what = feed.id.split("/")
            key = what if what in ("leads", "signal") else "unknown"
            return said(f"isolation.feed.{key}", thing=self.thing(of))
        return self.thing(feed.id)

    def missing(self, ident: str, field: str, name: Msg | None = None) -> Missing:
        """A fact of a thing, or of the service ("disconnect.lockable"), that is not on file."""
        thing = self.things.get(ident)
        path = self.at.path(thing, field) if thing is not None else f"before/service.{field}"
        key = field.rpartition(".")[2]
        what = said(f"todo.isolation.{key}", thing=name or self.thing(ident))
        return Missing(path, what, said(f"todo.how.isolation.{key}"))

    def lock_missing(self, device: Device) -> Missing:
        """Whether a device takes a lock, as a fact to find out."""
        name = self.device(device)
        if device.kind == "throw":
            return self.missing(device.thing, f"lockable_{device.id.rpartition(':')[2].rstrip('+')}", name)
        if device.id in ("disconnect", "outside") and not device.thing:
            whole = device.id == "outside" or device.enclosure == "outside"
            return self.missing("service", "outside.lockable" if whole else "disconnect.lockable", name)
        return self.missing(device.thing, "lockable", name)
