"""The network of a house as a tree to draw: from the utility downward, sources at the ends of their branches."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from deadfront.documents.one_line.stubs import ends_of, stubs_of
from deadfront.documents.one_line.twig import Twig
from deadfront.job.things import House
from deadfront.topology.house_network import network_of
from deadfront.topology.network import Device, Feed, Network

_FEEDS = {"solar": "array", "battery": "cells", "vehicle": "vehicle", "generator": "generator", "inlet": "generator"}
_SIDES = ("normal", "load", "alternate")
_ORDER = ("circuits", "load", "evse", "feeder", "source", "transfer")


@dataclass
class Walk:
    """The way through the network, each device and place once."""

    house: House
    network: Network
    seen: set[str] = field(default_factory=set)
    been: set[str] = field(default_factory=set)
    drawn: dict[str, Twig] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.feeds: dict[str, list[Feed]] = {}
        for feed in self.network.feeds:
            self.feeds.setdefault(feed.place, []).append(feed)
        self.panels = {each.id for each in self.house.panels}
        self.sources = {each.id: each for each in self.house.sources}
        self.transfers = {each.id: each for each in self.house.transfers}
        self.switches = {each.id: each for each in self.house.switches}
        lost = {ident for what, ident in self.network.unknowns if what == "source"}
        self.loose = {d.id for d in self.network.devices if d.id.startswith("joint/") and d.id.split("/")[1] in lost}
        self.lost = {d.id.split("/")[1]: d.a for d in self.network.devices if d.id in self.loose}

    def devices(self, place: str) -> Iterator[Device]:
        """What joins a place to others and has not been passed."""
        for each in self.network.ends[place]:
            passed = each.id in self.seen or each.id in self.loose
            if not passed and each.kind != "tie" and not each.id.startswith("circuit/"):
                yield each

    def onward(self, place: str, wires: tuple[str, ...] = ()) -> list[Twig]:
        """Everything that hangs from a place."""
        if place in self.been:
            return [Twig(f"goes-on-{len(self.been)}", "reference", wires=wires, place=place)]
        self.been.add(place)
        head, _, rest = place.partition("/")
        if head == "bus" and rest in self.panels:
            return [self._bus(place, rest, wires)]
        if head == "transfer" and rest.split("/")[0] in self.transfers:
            ident, _, side = rest.partition("/")
            return [self._transfer(ident, side, wires)]
        if place == "service point" or head == "feeder":
            twig = Twig(place.replace(" ", "-").replace("/", "-"), "point", wires=wires, place=place)
            twig.below = list(self._through(place, ()))
            return [twig]
        fed = [self._feed(each, ()) for each in self.feeds.get(place, ()) if each.kind != "utility"]
        found = [*fed, *self._through(place, ())]
        if len(found) > 1 and wires:  # the wires part here: what is said of those ahead of it is said once
            return [Twig(f"joint-{place}", "point", wires=wires, place=place, below=found)]
        for each in found:
            each.wires = (*wires, *each.wires)
        return found

    def _through(self, place: str, wires: tuple[str, ...]) -> Iterator[Twig]:
        for each in list(self.devices(place)):
            if each.id in self.seen:
                continue
            self.seen.add(each.id)
            other = each.b if each.a == place else each.a
            if each.kind == "conductors":
                beside = self._beside(each, place, other)
                yield from self.onward(other, (*wires, each.id, *beside))
            else:
                yield self._device(each, other, wires)

    def _beside(self, wire: Device, place: str, other: str) -> list[str]:
        """Further conductors between the same two places: sources behind one disconnect are drawn once."""
        wires = (each for each in self.devices(place) if each.kind == "conductors" and each.id != wire.id)
        found = [each.id for each in wires if {each.a, each.b} == {place, other}]
        self.seen |= set(found)
        return found

    def _device(self, each: Device, other: str, wires: tuple[str, ...]) -> Twig:
        twig = Twig(each.id, self._symbol(each), each.thing, wires, device=each, enclosure=each.enclosure, place=other)
        if each.kind == "inverter":
            twig.id = twig.thing
        twig.below = self.onward(other)
        return twig

    def _symbol(self, each: Device) -> str:
        if each.kind == "cord":
            return "inlet"
        if each.kind in ("meter", "inverter"):
            return str(each.kind)
        if each.id == "outside":
            return "disconnect" if self.house.service.outside.overcurrent is False else "breaker"
        if each.thing in self.switches and each.kind == "disconnect":
            return "fused_disconnect" if self.switches[each.thing].fuse_a is not None else "disconnect"
        return "breaker"

    def _feed(self, feed: Feed, wires: tuple[str, ...]) -> Twig:
        if feed.kind == "unknown":
            of = feed.id.split("/")[1]
            return Twig(f"unknown-{of}", "unknown", of, wires, place=feed.place)
        behind = feed.place.startswith("inside/")
        return Twig(f"{feed.id}-inside" if behind else feed.id, _FEEDS[feed.kind], feed.id, wires, place=feed.place)

    def _bus(self, place: str, panel: str, wires: tuple[str, ...]) -> Twig:
        twig = Twig(panel, "bus", panel, wires, enclosure=panel, place=place)
        self.drawn[panel] = twig
        through = list(self._through(place, ()))
        branches = [each for each in through if not each.below and not each.beside]
        deep = [each for each in through if each not in branches]
        for each in deep:  # what a source feeds back through stands beside the circuits of the same breaker
            each.below += ends_of(self.house, each.thing)
        twig.below = [*stubs_of(self.house, panel, branches), *deep]
        twig.below.sort(key=lambda each: _ORDER.index(self._sort(each)))
        return twig

    def _sort(self, twig: Twig) -> str:
        kinds = [each.kind for each in twig.all()]
        if twig.kind in ("circuits", "load", "evse") or kinds[-1] in ("load", "evse"):
            return twig.kind if twig.kind in _ORDER else kinds[-1]
        if "transfer" in kinds or "isolation" in kinds:
            return "transfer"
        return "feeder" if "bus" in kinds else "source"

    def _transfer(self, ident: str, side: str, wires: tuple[str, ...]) -> Twig:
        throws = [each for each in self.network.devices if each.thing == ident and each.kind == "throw"]
        self.seen |= {each.id for each in throws}
        other = {each: f"transfer/{ident}/{each}" for each in _SIDES if each != side}
        below = "load" if side != "load" else "normal"
        beside = next(each for each in other if each != below)
        twig = Twig(ident, "transfer", ident, wires, enclosure=ident, side=side)
        self.drawn[ident] = twig
        twig.below = self._side(other[below])
        twig.beside = self._side(other[beside])
        if self.transfers[ident].kind == "isolation device" and not twig.beside:
            twig.kind = "isolation"
        return twig

    def _side(self, place: str) -> list[Twig]:
        """What is on a side of transfer equipment, that side itself passed."""
        self.been.add(place)
        return [*(self._feed(each, ()) for each in self.feeds.get(place, ())), *self._through(place, ())]


def tree_of(house: House) -> tuple[list[Twig], Network]:
    """Every root to draw, the utility's first, and the network they were drawn from.

    Something that no known feed reaches, or that is joined nobody knows where, is a root of its own under a "?".
    """
    walk = Walk(house, network_of(house))
    utility = Twig("utility", "transformer", place="transformer")
    walk.been.add("transformer")
    utility.below = list(walk._through("transformer", ()))
    roots = [utility]
    for ident, end in walk.lost.items():
        if end not in walk.been:
            root = Twig(f"unknown-{ident}", "unknown", ident, place=end)
            root.below = walk.onward(end)
            roots.append(root)
    roots += _rest(walk)
    _named_once(roots)
    return roots, walk.network


def _named_once(roots: Iterable[Twig]) -> None:
    """Names of small letters, figures and hyphens, none twice."""
    used: set[str] = set()
    for twig in (each for root in roots for each in root.all()):
        name = "".join(char if char.isascii() and (char.isalnum() or char == "-") else "-" for char in twig.id.lower())
        twig.id = name if name not in used else next(f"{name}-{n}" for n in range(2, 999) if f"{name}-{n}" not in used)
        used.add(twig.id)


def _rest(walk: Walk) -> Iterable[Twig]:
    """What no utility reaches: panels and equipment under the feed they have, known or not."""
    shown = {*(f"bus/{each}" for each in walk.panels), *(f"switch/{each}/line" for each in walk.switches)}
    shown |= {f"transfer/{each}/normal" for each in walk.transfers} | {f"source/{each}" for each in walk.sources}
    feeds = walk.network.feeds
    order = [each.place for each in feeds if each.kind == "unknown"]
    order += [each.place for each in feeds if each.kind in ("generator", "solar", "battery")]
    for place in (*order, *(each for each in walk.network.places if each in shown)):
        if place in walk.been or place.startswith("end/"):
            continue
        found = walk.onward(place)
        lost = next((each for each in walk.feeds.get(place, ()) if each.kind == "unknown"), None)
        if lost is not None and all(each.kind != "unknown" for each in found):
            found = [walk._feed(lost, ()), *found]
        if any(each.kind not in ("unknown", "point") for twig in found for each in twig.all()):
            yield _rooted(found, place)


def _rooted(found: list[Twig], place: str) -> Twig:
    """One root of what was found at a place: its feed above the rest."""
    feeds = [each for each in found if not each.below and not each.beside and each.kind != "reference"]
    rest = [each for each in found if each not in feeds]
    if len(found) == 1:
        return found[0]
    root = feeds[0] if feeds else Twig(place.replace("/", "-"), "point", place=place)
    root.below = [*feeds[1:], *rest] if feeds else rest
    return root
