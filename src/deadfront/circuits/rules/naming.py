"""What a thing without a name is called: what it is and where, as one would say it standing before it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from deadfront.codebook.data_files import data
from deadfront.job.found_things import Hazard
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Breaker, Circuit, Outlet, Panel
from deadfront.job.service_things import Structure
from deadfront.job.source_things import Source
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said

if TYPE_CHECKING:
    from deadfront.circuits.rules.facts import Facts


def called(facts: Facts, thing: Thing) -> Msg | None:
    """Its name, else its kind and place; None where nothing of that is known."""
    if thing.name:
        return said("thing.named", name=thing.name)
    if isinstance(thing, Load):
        return said(f"kind.{thing.kind}", id=thing.id)
    if isinstance(thing, Source):
        return said(f"thing.source.{thing.kind}")
    if isinstance(thing, Outlet):
        return _outlet(facts, thing)
    if isinstance(thing, Circuit):
        return _circuit(facts, thing)
    if isinstance(thing, Breaker):
        return _breaker(facts, thing)
    if isinstance(thing, Panel):
        return _panel(facts, thing)
    if isinstance(thing, Structure) and len(facts.at.house.structures) == 1:
        return said("thing.structure")
    return said("thing.hazard", kind=said(f"hazard.{_hazard(thing)}.name")) if isinstance(thing, Hazard) else None


def _hazard(hazard: Hazard) -> str:
    return hazard.kind if hazard.kind in data().hazards else "other"


def _outlet(facts: Facts, outlet: Outlet) -> Msg | None:
    """The receptacle in the kitchen; of several there, by its circuit too."""
    kind = said(f"thing.outlet_kind.{(outlet.kind or 'outlet').replace('-', '_')}")
    room = said(f"room.{outlet.room.replace(' ', '_')}") if outlet.room is not None else None
    circuit = facts.circuits.get(outlet.circuit or "")
    on = called(facts, circuit) if circuit is not None else None
    if room is not None and on is not None:
        return said("thing.outlet_both", kind=kind, room=room, circuit=on)
    if room is not None:
        return said("thing.outlet_in", kind=kind, room=room)
    return said("thing.outlet_on", kind=kind, circuit=on) if on is not None else None


def _circuit(facts: Facts, circuit: Circuit) -> Msg | None:
    """The circuit in its spaces, else of what it supplies, else of its rooms."""
    breaker = facts.breaker_of(circuit)
    if breaker is not None and breaker.spaces:
        return said("thing.circuit_in", spaces=_spaces(breaker))
    loads = facts.loads_on.get(circuit.id, ())
    if loads:
        return said("thing.circuit_of", what=tuple(dict.fromkeys(_load(each) for each in loads)))
    if circuit.rooms:
        rooms = tuple(said(f"room.{room.replace(' ', '_')}") for room in circuit.rooms)
        return said("thing.circuit_of", what=rooms)
    return None


def _load(load: Load) -> Msg:
    return said("thing.named", name=load.name) if load.name else said(f"kind.{load.kind}")


def _breaker(facts: Facts, breaker: Breaker) -> Msg | None:
    """The breaker of so many amperes in its spaces, else in its panel."""
    if breaker.spaces:
        if breaker.rating_a is None:
            return said("thing.breaker_in", spaces=_spaces(breaker))
        return said("thing.breaker", rating=breaker.rating_a, spaces=_spaces(breaker))
    panel = facts.panel_of(breaker)
    alike = [b for b in facts.at.house.breakers if b.rating_a == breaker.rating_a and facts.panel_of(b) is panel]
    if breaker.rating_a is None or panel is None or len(alike) > 1:
        return None
    home = called(facts, panel)
    return None if home is None else said("thing.breaker_of", rating=breaker.rating_a, panel=home)


def _panel(facts: Facts, panel: Panel) -> Msg | None:
    """The panel in its place; the panel of the house where there is one."""
    if panel.location is not None and panel.location != "other":
        alike = [each for each in facts.at.house.panels if each.location == panel.location and not each.name]
        if len(alike) == 1:
            return said("thing.panel_in", place=said(f"thing.location.{panel.location.replace(' ', '_')}"))
    if len(facts.panels) == 1:
        return said("thing.panel")
    ahead = facts.breakers.get(panel.fed_by or "")
    if ahead is not None and ahead.spaces:
        return said("thing.panel_fed", by=_breaker(facts, ahead))
    fed = [each for each in facts.at.house.panels if each.fed_by == "service"]
    return said("thing.panel_fed", by=said("thing.the_service")) if fed == [panel] else None


def _spaces(breaker: Breaker) -> tuple[str, ...]:
    return tuple(f"{space}{breaker.half or ''}" for space in breaker.spaces)
