"""Where absence of voltage is tested, and between what: by the poles, the cable and the system of each place."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.isolation.rules.procedure import Laid
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.results.isolation import ProvePoint

ONE_POLE = ("l_n", "l_g", "n_g")
TWO_WIRE = ("l1_l2", "l1_g", "l2_g")
TWO_LEGS = ("l1_l2", "l1_n", "l2_n", "l1_g", "l2_g", "n_g")
THREE_LEGS = ("l1_l2", "l1_l3", "l2_l3", "l1_n", "l2_n", "l3_n", "l1_g", "l2_g", "l3_g", "n_g")
DIRECT = ("plus_minus", "plus_g", "minus_g")
LEADS = ("wire_wire", "wire_n", "wire_g")
_TWO, _ONE_LEG_V = 2, 130


def prove_points(laid: Laid) -> tuple[ProvePoint, ...]:
    """Each place the work touches, and each place beside which something stays live, between every pair."""
    boundary = {each.place for each in laid.live}
    near = {home for place in boundary if (home := laid.names.network.enclosure_of.get(place))}
    found = []
    for place in laid.zone.places:
        core = place in laid.zone.core
        if place in laid.targets and (core or _fed_from_beyond(laid, place)):
            beside = laid.names.network.enclosure_of.get(place) in near
            pairs = tuple(said(f"isolation.pair.{each}") for each in pairs_at(laid, place))
            found.append(ProvePoint(f"at/{place}", laid.names.place(place), pairs, beside))
    found += _perhaps_here(laid)
    if laid.stuck:
        for place in laid.zone.core:
            if place not in laid.targets:
                pairs = tuple(said(f"isolation.pair.{each}") for each in pairs_at(laid, place))
                found.append(ProvePoint(f"at/{place}", laid.names.place(place), pairs, True))
    return tuple(found)


def _perhaps_here(laid: Laid) -> Iterator[ProvePoint]:
    """Breakers in no known panel that may be in the zone: their terminals are tested wherever they are found."""
    for device in laid.names.network.devices:
        if device.id.startswith("maybe/") and device.a in laid.zone.core and device.b not in laid.zone.places:
            pairs = tuple(said(f"isolation.pair.{each}") for each in pairs_at(laid, device.b))
            yield ProvePoint(f"at/{device.b}", laid.names.place(device.b), pairs, True)


def _fed_from_beyond(laid: Laid, place: str) -> bool:
    """Whether something other than a branch circuit ends at a place: a bus, a main, a source, a feeder, a transfer."""
    if not place.startswith("out/"):
        return not place.startswith(("end/", "gear/"))
    ends = laid.names.network.ends[place]
    return any(each.kind not in ("breaker", "main") and not each.id.startswith(("circuit/", "lugs/")) for each in ends)


def pairs_at(laid: Laid, place: str) -> tuple[str, ...]:
    """Between what a place is tested; what is not known of it takes the longer list."""
    kind, _, rest = place.partition("/")
    of = rest.partition("/")[0]
    thing = laid.names.things.get(of)
    if kind == "dc" or (kind == "inside" and getattr(thing, "kind", "") != "inlet"):
        return DIRECT
    if kind == "switch" and getattr(thing, "direct_current", None) is True:
        return DIRECT
    if kind in ("control", "signal", "gear"):
        return LEADS
    if kind == "end" and isinstance(thing, Circuit):
        return _of_circuit(laid, thing)
    if kind == "out" and isinstance(thing, Breaker):
        return _of_breaker(laid, thing)
    if kind == "source" and isinstance(thing, Source) and thing.volts is not None:
        return ONE_POLE if thing.volts < _ONE_LEG_V else TWO_LEGS
    return _of_system(laid)


def _of_system(laid: Laid) -> tuple[str, ...]:
    """All legs of the service; a system that is not on file may have three."""
    return TWO_LEGS if laid.names.at.house.service.system == "120/240 1ph 3w" else THREE_LEGS


def _of_breaker(laid: Laid, breaker: Breaker) -> tuple[str, ...]:
    """The outgoing terminals of a breaker, with what its only circuit says of a neutral."""
    fed = [each for each in laid.names.at.house.circuits if each.breaker == breaker.id]
    if len(fed) == 1:
        return _of_circuit(laid, fed[0])
    if breaker.poles == 1:
        return ONE_POLE
    return TWO_LEGS if breaker.poles == _TWO else _of_system(laid)


def _of_circuit(laid: Laid, circuit: Circuit) -> tuple[str, ...]:
    """One leg; two, with the neutral unless its cable has none; both hots where a neutral is shared."""
    poles = getattr(laid.names.things.get(circuit.breaker or ""), "poles", None)
    shared = circuit.shares_neutral_with is not None or any(
        each.shares_neutral_with == circuit.id for each in laid.names.at.house.circuits
    )
    if poles == 1:
        return TWO_LEGS if shared and laid.names.at.house.service.system == "120/240 1ph 3w" else (
            _of_system(laid) if shared else ONE_POLE)  # fmt: skip
    if poles == _TWO:
        return TWO_WIRE if circuit.cable.conductors == _TWO else TWO_LEGS
    return _of_system(laid)
