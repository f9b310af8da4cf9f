"""The words beside every symbol and along its conductors."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from deadfront.documents.circuit_sheets.common import place_name
from deadfront.documents.conductor_text import spaces_text
from deadfront.documents.one_line.source_labels import SOURCE_LINES, transfer_lines
from deadfront.documents.one_line.told import Telling
from deadfront.documents.one_line.twig import Twig
from deadfront.documents.one_line.wire_labels import wire_lines
from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.service_things import Meter
from deadfront.job.source_things import Source, Switch


@dataclass(frozen=True, slots=True)
class Label:
    """Words of a symbol: what it is, its facts; of the conductors above it; whether the ground symbol stands there."""

    name: str
    lines: tuple[str, ...] = ()
    above: tuple[str, ...] = ()
    grounded: bool = False


def label_of(twig: Twig, telling: Telling) -> Label:
    """The words of one symbol; what is not known stands as "?" and is noted down."""
    name, lines = _LINES[twig.kind](twig, telling)
    return Label(name, tuple(line for line in lines if line), wire_lines(twig, telling), _grounded(twig, telling))


Told = tuple[str, list[str]]


def _utility(twig: Twig, telling: Telling) -> Told:
    service, kva = telling.at.house.service, telling.at.house.service.utility.transformer.kva
    system = service.system or telling.ask("service", "system")
    lines = [telling.key("one_line.system", system=system)]
    if kva is not None:
        lines.append(telling.amount(kva, "kVA", "transformer", "kva"))
    if "transformer" in telling.faults:
        lines.append(telling.fault("transformer"))
    return telling.key("one_line.kind.utility"), lines


def _point(twig: Twig, telling: Telling) -> Told:
    if twig.place != "service point":
        return telling.key("one_line.kind.joint"), []
    known = telling.faults.get("service point")
    shown = known is not None and (known.largest or known.line_to_line or known.line_to_neutral) is not None
    return telling.key("one_line.kind.service_point"), [telling.fault("service point")] if shown else []


def _meter(twig: Twig, telling: Telling) -> Told:
    meter = telling.things.get(twig.thing)
    socket = meter.socket_a if isinstance(meter, Meter) else None
    lines = [telling.key("one_line.socket", rating=telling.amount(socket, "A", twig.thing, "socket_a"))]
    return f"{telling.name(twig.thing, 'meter')} {telling.tag(twig.thing)}", lines


def _device(twig: Twig, telling: Telling) -> Told:
    thing = telling.things.get(twig.thing)
    if isinstance(thing, Breaker):
        return _service_main(thing, telling) if twig.id == "disconnect" else _breaker(thing, telling)
    if isinstance(thing, Switch):
        return _switch(thing, telling)
    return _outside(twig, telling) if twig.enclosure == "outside" else _disconnect(telling)


def _breaker(breaker: Breaker, telling: Telling) -> Told:
    rating = telling.amount(breaker.rating_a, "A", breaker.id, "rating_a")
    poles = "" if breaker.poles is None else f" {breaker.poles}P"
    role = "main" if breaker.role == "main" else "breaker"
    spaces = telling.key("one_line.spaces", spaces=spaces_text(breaker)) if breaker.spaces else ""
    held = telling.amount(breaker.interrupting_ka, "kA", breaker.id, "interrupting_ka")
    name = f"{rating}{poles} {telling.tag(breaker.id)}"
    if breaker.role == "main":
        name = f"{telling.key(f'one_line.kind.{role}')} {name}"
    return name, [spaces, telling.key("one_line.interrupts", rating=held), *_interlocked(breaker.id, telling)]


def _interlocked(ident: str, telling: Telling) -> list[str]:
    """Transfer by breakers held apart: said at each of them."""
    found = [each for each in telling.at.house.transfers if ident in each.held_apart]
    return [
        telling.key("one_line.interlocked", name=telling.name(each.id, "interlock"), tag=telling.tag(each.id))
        for each in found
    ]


def _service_main(breaker: Breaker, telling: Telling) -> Told:
    disconnect = telling.at.house.service.disconnect
    rating = breaker.rating_a if breaker.rating_a is not None else disconnect.rating_a
    held = breaker.interrupting_ka if breaker.interrupting_ka is not None else disconnect.sccr_ka
    name = f"{telling.key('one_line.kind.disconnect')} {telling.tag(breaker.id)}"
    lines = [telling.amount(rating, "A", breaker.id, "rating_a")]
    lines.append(telling.key("one_line.interrupts", rating=telling.amount(held, "kA", breaker.id, "interrupting_ka")))
    return name, [*lines, *_interlocked("service", telling), telling.fault("service")]


def _disconnect(telling: Telling) -> Told:
    disconnect = telling.at.house.service.disconnect
    lines = [telling.amount(disconnect.rating_a, "A", "service", "rating_a")]
    held = telling.amount(disconnect.sccr_ka, "kA", "service", "interrupting_ka")
    lines += [
        telling.key("one_line.interrupts", rating=held),
        *_interlocked("service", telling),
        telling.fault("service"),
    ]
    return f"{telling.key('one_line.kind.disconnect')} {telling.set_tag('disconnect')}", lines


def _outside(twig: Twig, telling: Telling) -> Told:
    outside = telling.at.house.service.outside
    service = twig.id == "disconnect"
    other = telling.at.house.service.disconnect if service else None
    rating, held = outside.rating_a, outside.sccr_ka
    if other is not None:
        rating, held = rating or other.rating_a, held or other.sccr_ka
    if outside.marked is None:
        lines = [telling.key("one_line.marked", mark=telling.ask("outside", "marked"))]
    else:
        lines = [telling.catalog.key(f"web.option.{outside.marked.replace(' ', '_')}")]
    lines.append(telling.amount(rating, "A", "outside", "rating_a"))
    lines.append(telling.key("one_line.short_circuit", rating=telling.amount(held, "kA", "outside", "sccr_ka")))
    place = "service" if service else "outside"
    if place in telling.faults or service:
        lines.append(telling.fault(place))
    return f"{telling.key('one_line.kind.outside')} {telling.set_tag('outside')}", lines


def _switch(switch: Switch, telling: Telling) -> Told:
    current = telling.key("one_line.direct") if switch.direct_current else ""
    lines = [f"{telling.amount(switch.rating_a, 'A', switch.id, 'rating_a')} {current}".strip()]
    if switch.fuse_a is not None:
        lines.append(telling.key("one_line.fuse", rating=telling.amount(switch.fuse_a, "A", switch.id, "fuse_a")))
    if switch.sccr_ka is not None:
        held = telling.amount(switch.sccr_ka, "kA", switch.id, "sccr_ka")
        lines.append(telling.key("one_line.short_circuit", rating=held))
    return f"{telling.name(switch.id, 'switch')} {telling.tag(switch.id)}", lines


def _bus(twig: Twig, telling: Telling) -> Told:
    panel = telling.things[twig.thing]
    assert isinstance(panel, Panel)
    bus = telling.key("one_line.bus", rating=telling.amount(panel.bus_a, "A", panel.id, "bus_a"))
    held = telling.key("one_line.short_circuit", rating=telling.amount(panel.sccr_ka, "kA", panel.id, "sccr_ka"))
    spaces = telling.key("one_line.space_count", count=panel.spaces) if panel.spaces is not None else ""
    first = ", ".join(part for part in (bus, spaces) if part)
    name = f"{telling.name(panel.id, 'panel')} {telling.tag(panel.id)}"
    return name, [first, held, telling.fault(panel.id)]


def _circuits(twig: Twig, telling: Telling) -> Told:
    house = telling.at.house
    named = {each.breaker: each for each in house.circuits if each.breaker in twig.holds}
    if twig.id.endswith("-large"):
        breakers = {each.id: each for each in house.breakers}
        lines = []
        for ident in twig.holds:
            rating = telling.amount(breakers[ident].rating_a, "A", ident, "rating_a")
            lines.append(f"{named[ident].name or named[ident].id} {rating} {telling.tag(ident)}")
        return telling.key("one_line.large"), lines
    spare = len([ident for ident in twig.holds if ident not in named])
    count = sum(1 for each in house.circuits if each.breaker in twig.holds)
    lines = [telling.key("one_line.see_schedule")] if count else []
    if spare and count:
        lines.append(telling.key("one_line.spare", count=spare))
    return telling.key("one_line.branch_circuits", count=count) if count else telling.key(
        "one_line.spare", count=spare
    ), lines


def _end(twig: Twig, telling: Telling) -> Told:
    return f"{telling.name(twig.thing, 'circuit')} {telling.tag(twig.thing)}", []


def _unknown(twig: Twig, telling: Telling) -> Told:
    if isinstance(telling.things.get(twig.thing), Source):
        telling.ask(twig.thing, "joins")
        return telling.key("one_line.not_known_joint"), []
    telling.ask(twig.thing, "fed_by")
    return telling.key("one_line.not_known_where"), []


def _reference(twig: Twig, telling: Telling) -> Told:
    ident = next((part for part in twig.place.split("/")[1:] if part in telling.things), "service")
    return telling.key("one_line.goes_on", name=place_name(telling.at, ident)), []


def _grounded(twig: Twig, telling: Telling) -> bool:
    """Whether neutral and ground are recorded as joined in it."""
    thing = telling.things.get(twig.thing)
    if twig.kind == "bus" and isinstance(thing, Panel):
        return thing.neutral_joined == "yes"
    if twig.enclosure == "outside":
        return telling.at.house.service.outside.neutral_joined == "yes"
    if twig.kind == "transfer":
        return getattr(thing, "neutral_joined", "") == "yes"
    return twig.kind == "generator" and getattr(thing, "neutral_bonded", None) is True


_LINES: dict[str, Callable[[Twig, Telling], Told]] = {
    "transformer": _utility, "point": _point, "meter": _meter, "breaker": _device, "disconnect": _device,
    "fused_disconnect": _device, "bus": _bus, "circuits": _circuits, "load": _end, "evse": _end, "unknown": _unknown,
    "reference": _reference, "transfer": transfer_lines, "isolation": transfer_lines, **SOURCE_LINES,
}  # fmt: skip
