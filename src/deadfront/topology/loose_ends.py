"""What the record leaves loose: breakers in no known panel, chains that end where they began, panels nothing feeds."""

from __future__ import annotations

from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.source_things import Switch, Transfer
from deadfront.topology.drawing_up import DrawingUp, has_throws
from deadfront.topology.states import live


def draw_loose_ends(up: DrawingUp) -> None:
    """Nothing loose passes for dead: it is joined to every bus it may be on, or is a feed of its own."""
    for breaker in up.house.breakers:
        if up.panel_of(breaker) is None:
            _loose_breaker(up, breaker)
    _loops(up)
    _unfed(up)
    _islands(up)


def _loose_breaker(up: DrawingUp, breaker: Breaker) -> None:
    """A breaker in no known panel: what hangs on it besides circuits may feed every bus, or be fed from any."""
    out = up.place(f"out/{breaker.id}")
    more = any(out in (each.a, each.b) and not each.id.startswith("circuit/") for each in up.devices.values())
    if not more or not up.panels:
        up.not_known("branch", breaker.id, out)
        return
    up.doubt("breaker", breaker.id)
    for panel in up.panels:
        up.joined(f"maybe/{breaker.id}/{panel}", up.place(f"bus/{panel}", panel), out)


def _loops(up: DrawingUp) -> None:
    """Whatever is fed by itself in the end is fed by something that is not on file."""
    for panel in up.house.panels:
        if _is_loop(up, panel.id):
            up.not_known("loop", panel.id, f"bus/{panel.id}")
    for switch in up.house.switches:
        if _is_loop(up, switch.id):
            up.not_known("loop", switch.id, f"switch/{switch.id}/line")
    for transfer in up.house.transfers:
        if has_throws(transfer) and _is_loop(up, transfer.id):
            up.not_known("loop", transfer.id, f"transfer/{transfer.id}/normal")


def _is_loop(up: DrawingUp, start: str) -> bool:
    at, been = _fed_from(up, start), set[str]()
    while at is not None and at not in been:
        if at == start:
            return True
        been.add(at)
        at = _fed_from(up, at)
    return False


def _fed_from(up: DrawingUp, ident: str) -> str | None:
    """What a thing is fed from in the normal position, None where the chain ends."""
    thing = up.panels.get(ident) or up.breakers.get(ident) or up.switches.get(ident) or up.transfers.get(ident)
    if isinstance(thing, Panel | Switch):
        return thing.fed_by
    if isinstance(thing, Breaker):
        return up.panel_of(thing)
    return thing.normal if isinstance(thing, Transfer) else None


def _unfed(up: DrawingUp) -> None:
    """An alternate side with nothing on it on file, while not all sources are said to be entered."""
    for transfer in up.house.transfers:
        place = f"transfer/{transfer.id}/alternate"
        waits = has_throws(transfer) and transfer.kind != "isolation device" and up.house.complete.sources != "yes"
        fed = any(place in (each.a, each.b) and each.kind != "throw" for each in up.devices.values())
        if waits and not fed and all(feed.place != place for feed in up.feeds):
            up.not_known("unfed", transfer.id, place)


def _islands(up: DrawingUp) -> None:
    """A panel that neither the utility nor anything unknown reaches, and that no source is said to feed."""
    network = up.network()
    reached = live(network, feeds_off={each.id for each in network.feeds if each.kind not in ("utility", "unknown")})
    for panel in up.house.panels:
        if f"bus/{panel.id}" not in reached and not _from_source(up, panel.id):
            up.not_known("island", panel.id, f"bus/{panel.id}")


def _from_source(up: DrawingUp, start: str) -> bool:
    at: str | None = start
    been = set[str]()
    while at is not None and at not in been:
        if at in up.sources:
            return True
        been.add(at)
        at = _fed_from(up, at)
    return False
