"""The network of panels: mains, buses, breakers, feeders, circuits, and neutrals that two circuits share."""

from __future__ import annotations

from deadfront.job.panel_things import Panel
from deadfront.topology.drawing_up import DrawingUp
from deadfront.topology.service_part import (
    main_as_service,
    mains,
    mains_are_the_service,
    outside_is_service,
    service_panels,
)


def draw_panels(up: DrawingUp) -> None:
    """Every panel with its breakers, then the feeders between them, then the circuits."""
    for breaker in up.house.breakers:
        home = up.panel_of(breaker)
        out = up.place(f"out/{breaker.id}", home or "")
        if home is not None and breaker.role != "main":
            bus = up.place(f"bus/{home}", home)
            automatic = breaker.controllable is True
            up.device(breaker.id, "breaker", bus, out, breaker.lockable, home, automatic, breaker.id)
    for panel in up.house.panels:
        up.place(f"bus/{panel.id}", panel.id)
        _feeder(up, panel, _through_main(up, panel))
    for circuit in up.house.circuits:
        end = up.place(f"end/{circuit.id}", circuit.id)
        if circuit.breaker in up.breakers:
            up.joined(f"circuit/{circuit.id}", f"out/{circuit.breaker}", end)
        else:
            up.not_known("circuit", circuit.id, end)
    _shared_neutrals(up)
    _gear_leads(up)


def _through_main(up: DrawingUp, panel: Panel) -> str:
    """The place where the feeder of a panel ends: the line side of its main, where it has one of its own."""
    bus, own = f"bus/{panel.id}", [each for each in mains(up, panel.id) if each != main_as_service(up)]
    for main in own:
        line = up.place(f"main/{panel.id}", panel.id)
        up.device(main, "main", line, bus, up.breakers[main].lockable, panel.id, thing=main)
        up.joined(f"lugs/{main}", f"out/{main}", line)
    for main in mains(up, panel.id):
        if main not in own:
            up.joined(f"lugs/{main}", "service", f"out/{main}")
    return f"main/{panel.id}" if own else bus


def _feeder(up: DrawingUp, panel: Panel, end: str) -> None:
    start = _start(up, panel)
    if start is None:
        up.not_known("panel", panel.id, end)
        start = end
    if any(each.joins == "feeder" and each.feeder_of == panel.id for each in up.house.sources):
        joint = up.place(f"feeder/{panel.id}", f"feeder/{panel.id}")
        up.joined(f"feeder/{panel.id}", start, joint)
        up.joined(f"feeder/{panel.id}/end", joint, end)
    else:
        up.joined(f"feeder/{panel.id}", start, end)


def _start(up: DrawingUp, panel: Panel) -> str | None:
    """The place a panel is fed from, None where it is not recorded or not there."""
    if panel.id in service_panels(up):
        return "bus"
    return None if panel.fed_by is None else up.load_side(panel.fed_by)


def _shared_neutrals(up: DrawingUp) -> None:
    """Circuits that share a neutral count as joined: opening it with one of them live puts its hot on the other."""
    circuits = {each.id for each in up.house.circuits}
    for circuit in up.house.circuits:
        other = circuit.shares_neutral_with
        if other in circuits and other != circuit.id:
            first, second = sorted((circuit.id, str(other)))
            up.tie(f"neutral/{first}/{second}", f"end/{first}", f"end/{second}")


def _gear_leads(up: DrawingUp) -> None:
    """Supply and voltage leads of gear: live in its enclosure as long as what they come from."""
    circuits = {each.id for each in up.house.circuits}
    for gear in up.house.gear:
        for number, start in enumerate((
            f"end/{gear.circuit}" if gear.circuit in circuits else None,
            f"out/{gear.taps_breaker}" if gear.taps_breaker in up.breakers else None,
        )):  # fmt: skip
            if start is not None and gear.panel in up.panels:
                place = up.place(f"gear/{gear.id}/{number}", gear.panel or "")
                up.tie(f"gear/{gear.id}/{number}", start, place)


def own_main(up: DrawingUp, panel: str) -> str:
    """The device that "service" means to an interlock in a panel: its own main, else the service disconnect."""
    own = outside_is_service(up) or mains_are_the_service(up)
    found = mains(up, panel) if own else []
    return found[0] if found else "disconnect"
