"""What a zone is: the enclosures that the work opens, and the places in them that hands come near."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from deadfront.job.found_things import Gear
from deadfront.job.model import WorkStep
from deadfront.job.panel_things import Box, Breaker, Circuit, Opening, Outlet, Panel, Raceway
from deadfront.job.service_things import Meter, Structure
from deadfront.job.source_things import Signal, Source, Switch, Transfer
from deadfront.job.things import COLLECTIONS, PAPER, House, Thing
from deadfront.topology.network import Network


@dataclass(frozen=True, slots=True)
class Zone:
    """Where the work is.

    Args:
        things: Ids of the things that it was made of.
        core: Places that the work itself touches: all of them must be dead.
        around: Further places in the same enclosures: dead if a lock can do it, else guarded and said.
    """

    things: tuple[str, ...]
    core: tuple[str, ...]
    around: tuple[str, ...] = ()

    @property
    def places(self) -> tuple[str, ...]:
        """All of it."""
        return (*self.core, *self.around)


_LANDS_ON = ("breaker", "fed_by", "normal", "alternate", "held_apart", "disconnects", "control_feeds", "feeder_of")
"""Fields that name what a thing is connected to: whoever adds or removes it works there too."""


def touched(step: WorkStep, before: House) -> tuple[str, ...]:
    """Ids of everything that a work step touches: what it adds, removes, moves, sets, and what that is connected to."""
    index = {thing.id: thing for name in COLLECTIONS for thing in getattr(before, name)}
    added = [thing for name in COLLECTIONS if name not in PAPER for thing in getattr(step.add, name)]
    found = [each.id for each in added] + [*step.remove, *step.move, *step.set, *step.zone]
    for thing in (*added, *(index[each] for each in step.remove if each in index)):
        found += _lands_on(thing)
    for fields in (*step.move.values(), *step.set.values()):
        found += [str(fields[name]) for name in ("panel", "breaker", "fed_by") if name in fields]
    return tuple(dict.fromkeys("bus" if each == "service" and each not in step.set else each for each in found))


def _lands_on(thing: Thing) -> Iterator[str]:
    for name in _LANDS_ON:
        value = getattr(thing, name, None)
        yield from value if isinstance(value, tuple) else (value,) if value is not None else ()
    if getattr(thing, "joins", None) == "supply side":
        yield "line"


def zone_of(houses: Iterable[House], network: Network, things: Iterable[str], places: Iterable[str] = ()) -> Zone:
    """The zone of some things in a network; what they touch is looked up in each house, before and after the work.

    Args:
        houses: The house as it is while the work begins, and as it is after it, where that is asked.
        network: The house as it is while the work begins.
        things: Ids of things, or "service", "bus" (its load side), "line" (its line side), "outside", "drop".
        places: Further places that the work touches.
    """
    ids = tuple(dict.fromkeys(things))
    core: dict[str, None] = dict.fromkeys(places)
    for house in houses:
        index = {t.id: t for name in COLLECTIONS for t in getattr(house, name)}
        for ident in ids:
            core |= dict.fromkeys(_core(house, network, index, ident))
    same = _lugs(network)
    known = tuple(dict.fromkeys(same.get(place, place) for place in core if place in network.ends))
    homes = {network.enclosure_of[place] for place in known if place in network.enclosure_of}
    homes |= {network.enclosure_of[place] for place in core if place in same and place in network.enclosure_of}
    around = tuple(
        p for p in network.places if network.enclosure_of.get(p) in homes and p not in known and p not in same
    )
    return Zone(ids, known, around)


def _lugs(network: Network) -> dict[str, str]:
    """The outgoing terminals of mains, which are the line lugs that they feed from: one place, named once."""
    pairs = [(each.a, each.b) for each in network.devices if each.id.startswith("lugs/")]
    return dict((a, b) if a.startswith("out/") else (b, a) for a, b in pairs)


_SERVICE = {"service": ("service", "bus"), "bus": ("bus",), "line": ("service",), "drop": ("service point",)}


def _core(house: House, network: Network, index: dict[str, Thing], ident: str) -> Iterator[str]:
    """Places that the work on one thing touches itself."""
    thing = index.get(ident)
    if ident in _SERVICE:
        yield from _SERVICE[ident]
    elif ident == "outside":
        ahead = ("outside/line", "outside/load")
        yield from ahead if ahead[0] in network.ends else ("service", "bus")
    elif isinstance(thing, Breaker):
        yield from _breaker(network, thing, house)
    elif isinstance(thing, Circuit):
        yield f"end/{ident}"
    elif isinstance(thing, Panel):
        yield f"bus/{ident}"
    elif isinstance(thing, Transfer):
        yield from (f"transfer/{ident}/{side}" for side in ("normal", "alternate", "load"))
        yield from (place for place in network.inside(ident) if place.startswith(("control/", "signal/")))
        if thing.normal == "service" and thing.service_equipment is None:  # which side of the disconnect: not known
            yield "service"
        if thing.kind == "meter-mounted":  # it sits in the jaws of the meter socket
            yield from _jaws(house)
        for other in thing.held_apart:
            yield from _core(house, network, index, "bus" if other == "service" else other)
    elif isinstance(thing, Switch):
        yield from (f"switch/{ident}/line", f"switch/{ident}/load")
    elif isinstance(thing, Source):
        yield from (f"source/{ident}", f"dc/{ident}")
    elif isinstance(thing, Meter):
        yield from (f"meter/{ident}/line", f"meter/{ident}/load")
    elif thing is not None:
        yield from _of_others(house, network, index, thing)


def _jaws(house: House) -> Iterator[str]:
    meters = [each.id for each in house.meters if each.purpose == "utility"]
    if not meters:
        yield "service point"
    for each in meters:
        yield from (f"meter/{each}/line", f"meter/{each}/load")


def _breaker(network: Network, breaker: Breaker, house: House) -> Iterator[str]:
    """Both terminals: the bus behind it and its load side; the line side of a main."""
    panel = breaker.panel or (house.panels[0].id if len(house.panels) == 1 else "")
    device = network.device.get(breaker.id)
    yield f"bus/{panel}"
    yield f"out/{breaker.id}"
    if device is not None:
        yield from (device.a, device.b)
    elif breaker.role == "main":
        yield from ("service", "bus")


def _of_others(house: House, network: Network, index: dict[str, Thing], thing: Thing) -> Iterator[str]:
    """What stands on a circuit, in a panel or in a structure has that circuit, panel or structure for its zone."""
    names: list[str | None] = []
    if isinstance(thing, Box | Outlet) or hasattr(thing, "circuit"):
        yield f"end/{getattr(thing, 'circuit', None)}"
    if isinstance(thing, Opening) or hasattr(thing, "panel"):
        names.append(getattr(thing, "panel", None))
    if isinstance(thing, Signal | Gear):
        yield from (place for place in network.places if place.startswith((f"signal/{thing.id}/", f"gear/{thing.id}/")))
    if isinstance(thing, Signal):
        names += [thing.sender, thing.receiver]
    if isinstance(thing, Structure):
        names += [thing.fed_by, *(panel.id for panel in house.panels if panel.structure == thing.id)]
    if isinstance(thing, Raceway):
        for circuit in house.circuits:
            if circuit.cable.raceway == thing.id:
                yield f"end/{circuit.id}"
        names += [panel.id for panel in house.panels if panel.feeder.raceway == thing.id]
    for name in names:
        if name is not None and name != thing.id and name in index and not isinstance(index[name], Signal):
            yield from _core(house, network, index, name)
