"""The network from the utility to the load side of the service disconnect."""

from __future__ import annotations

from deadfront.topology.drawing_up import DrawingUp
from deadfront.topology.network import Feed


def draw_service(up: DrawingUp) -> None:
    """Utility, drop, meter, a meter-mounted transfer, a disconnect outside, the service disconnect."""
    up.feeds.append(Feed("utility", up.place("transformer"), "utility", stored_s=0))
    up.device("drop", "conductors", "transformer", up.place("service point", "drop"))
    at = _through_meters(up, "service point")
    at = _through_meter_mounted(up, at)
    at = _through_outside(up, at)
    home = disconnect_home(up)
    up.place("service", home)
    up.joined("service", at, "service")
    up.place("bus", home)
    main = main_as_service(up)
    service = up.house.service
    lockable = service.outside.lockable if outside_is_service(up) else service.disconnect.lockable
    if outside_is_service(up) and lockable is None:
        lockable = service.disconnect.lockable
    if main is not None and up.breakers[main].lockable is not None:
        lockable = up.breakers[main].lockable
    if mains_are_the_service(up):
        up.joined("disconnect", "service", "bus")
    else:
        up.device("disconnect", "disconnect", "service", "bus", lockable, home, thing=main or "")


def outside_is_service(up: DrawingUp) -> bool:
    """Whether the disconnect outdoors is the service disconnect itself, by its mark."""
    outside = up.house.service.outside
    return outside.present == "yes" and outside.marked == "service disconnect"


def mains(up: DrawingUp, panel: str) -> list[str]:
    """Ids of the mains recorded in a panel."""
    return [each.id for each in up.house.breakers if each.role == "main" and up.panel_of(each) == panel]


def service_panels(up: DrawingUp) -> list[str]:
    """Panels fed by the service itself."""
    alone = len(up.panels) == 1
    return [each.id for each in up.house.panels if each.fed_by == "service" or (each.fed_by is None and alone)]


def main_as_service(up: DrawingUp) -> str | None:
    """The breaker that is the service disconnect: the one main of the one panel fed by the service."""
    panels = service_panels(up)
    if outside_is_service(up) or len(panels) != 1 or _service_transfer(up):
        return None
    found = mains(up, panels[0])
    return found[0] if len(found) == 1 else None


def mains_are_the_service(up: DrawingUp) -> bool:
    """Whether several mains are recorded that together are the service disconnect: then it is no device of its own.

    One throw of the hand ahead of panels with mains of their own is a device; where that is not on file, it is not
    counted on.
    """
    if outside_is_service(up) or _service_transfer(up):
        return False
    found = [mains(up, panel) for panel in service_panels(up)]
    several = sum(map(len, found)) > 1
    return several and (up.house.service.disconnects != 1 or max(map(len, found)) > 1)


def disconnect_home(up: DrawingUp) -> str:
    """The enclosure of the service disconnect: "outside", a transfer, a panel, else one of its own, "service"."""
    if outside_is_service(up):
        return "outside"
    transfer = _service_transfer(up)
    if transfer:
        return transfer
    panels = service_panels(up)
    main = [each for each in panels if mains(up, each) or up.panels[each].main_at not in (None, "none")]
    return main[0] if len(main) == 1 else "service"


def _service_transfer(up: DrawingUp) -> str:
    """Transfer equipment that holds the service disconnect."""
    found = (t.id for t in up.house.transfers if t.service_equipment and t.normal == "service")
    return next(found, "")


def _through_meters(up: DrawingUp, at: str) -> str:
    """Through the first meter of the utility; what a further one feeds is not recorded."""
    meters = [each for each in up.house.meters if each.purpose == "utility"]
    for meter in meters:
        line, load = f"meter/{meter.id}/line", f"meter/{meter.id}/load"
        up.place(line, meter.id)
        up.place(load, meter.id)
        up.joined(f"to meter/{meter.id}", at, line)
        up.device(meter.id, "meter", line, load, False, meter.id, thing=meter.id)
    named = {each.fed_by for each in up.house.panels} | {each.fed_by for each in up.house.switches}
    for each in meters[1:]:
        if each.id not in named:
            up.doubt("meter", each.id)
    return f"meter/{meters[0].id}/load" if meters else at


def _through_meter_mounted(up: DrawingUp, at: str) -> str:
    for transfer in up.house.transfers:
        if transfer.kind == "meter-mounted" and transfer.normal in (None, "service"):
            up.joined(f"to {transfer.id}", at, up.place(f"transfer/{transfer.id}/normal", transfer.id))
            return up.place(f"transfer/{transfer.id}/load", transfer.id)
    return at


def _through_outside(up: DrawingUp, at: str) -> str:
    """Through a disconnect outdoors that stands ahead of the service disconnect."""
    outside = up.house.service.outside
    if outside.present != "yes" or outside_is_service(up):
        return at
    if outside.marked is None:
        up.doubt("outside", "service")
    up.place("outside/line", "outside")
    up.place("outside/load", "outside")
    up.joined("to outside", at, "outside/line")
    up.device("outside", "disconnect", "outside/line", "outside/load", outside.lockable, "outside")
    return "outside/load"
