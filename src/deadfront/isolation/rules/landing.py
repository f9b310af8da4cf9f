"""Where the work of a step lays hands on wires: both ends of each conductor and device that it makes or takes away."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.model import WorkStep
from deadfront.topology.network import Device, Network

REPLACES = frozenset({"bus_a", "spaces", "main_at", "mounting", "sccr_ka"})
"""Fields of a panel that change only with the panel: its line lugs are then worked on too."""
_WIRES = {"cable": ("circuit/{}", "wire/{}/", "joint/{}/"), "feeder": ("feeder/{}",)}
_OF_SERVICE = {"conductors": ("service", "to outside", "to meter/"), "drop": ("drop",)}


def landings(step: WorkStep, before: Network, after: Network) -> tuple[str, ...]:
    """Places of the house as the step finds it on which a conductor or device is landed, lifted or changed.

    Whatever joins two places after the work and did not before, or no longer does, was worked on at both; so were both
    ends of a conductor that is set anew, with the bus behind a breaker that it ends on, and all of a panel that is
    replaced.
    """
    found: dict[str, None] = {}
    for device in (*_apart(after, before), *_apart(before, after)):
        found |= dict.fromkeys((device.a, device.b))
    for device in _set_anew(step, before):
        for end in (device.a, device.b):
            found |= dict.fromkeys((end, *_behind(before, end)))
    for ident in (*step.remove, *(each for each, fields in step.set.items() if REPLACES & set(fields))):
        if f"bus/{ident}" in before.ends:
            found |= dict.fromkeys(before.inside(ident))
    return tuple(place for place in found if place in before.ends)


def _apart(network: Network, other: Network) -> Iterator[Device]:
    """Devices that the other network has not, or has between other places or in another enclosure."""
    there = {(each.id, each.a, each.b, each.enclosure) for each in other.devices}
    return (each for each in network.devices if (each.id, each.a, each.b, each.enclosure) not in there)


def _set_anew(step: WorkStep, network: Network) -> Iterator[Device]:
    starts: list[str] = []
    for ident, fields in step.set.items():
        if ident == "service":
            starts += [start for name in fields for start in _OF_SERVICE.get(name, ())]
        else:
            starts += [start.format(ident) for name in fields for start in _WIRES.get(name, ())]
    for device in network.devices:
        if any(device.id == start or (start.endswith("/") and device.id.startswith(start)) or
               device.id.startswith(f"{start}/end") for start in starts):  # fmt: skip
            yield device


def _behind(network: Network, place: str) -> Iterator[str]:
    """The other terminal of a breaker or main: its enclosure is opened for the wire that ends on it."""
    for device in network.ends[place]:
        if device.kind in ("breaker", "main") and place.startswith("out/"):
            yield from (device.a, device.b)
