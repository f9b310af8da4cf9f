"""The network of sources: what feeds in behind their terminals, their disconnects, and where they join."""

from __future__ import annotations

from deadfront.job.source_things import Source, Switch
from deadfront.topology.drawing_up import DrawingUp, has_throws
from deadfront.topology.network import Feed

_HOLDS = frozenset({"solar", "battery", "vehicle"})
_BEHIND = frozenset({"solar", "battery", "vehicle", "inlet"})


def draw_sources(up: DrawingUp) -> None:
    """Every source with its path outward, then the switches that stand on no such path."""
    on_a_path: set[str] = set()
    for source in up.house.sources:
        on_a_path |= _draw(up, source)
    named = _named(up)
    for switch in up.house.switches:
        if switch.id not in on_a_path:
            _lone_switch(up, switch, switch.id in named)


def _draw(up: DrawingUp, source: Source) -> set[str]:
    ident = source.id
    terminals = up.place(f"source/{ident}", ident)
    used = _behind(up, source, terminals)
    at, used = _outward(up, source, terminals, used)
    joints = _joints(up, source, used)
    if not joints:
        up.doubt("source", ident)
        joints = [f"bus/{panel}" for panel in up.panels] or ["bus"]
    for number, joint in enumerate(joints):
        up.joined(f"joint/{ident}/{number}", at, joint)
    return used


def _behind(up: DrawingUp, source: Source, terminals: str) -> set[str]:
    """The feed itself: an array, cells, a set at a cord, with the disconnects of direct current before the inverter."""
    ident, used = source.id, set[str]()
    automatic = source.kind != "inlet" and source.automatic is not False
    stored = 0.0 if source.kind not in _HOLDS else None if source.shutdown_s is None else float(source.shutdown_s)
    if source.kind not in _BEHIND:
        up.feeds.append(Feed(ident, terminals, source.kind, True, automatic, stored))
        return used
    apart = any(each in up.switches and up.switches[each].direct_current for each in source.disconnects)
    within = source.kind == "inlet" or (source.kind == "battery" and not apart)
    at = up.place(f"inside/{ident}", ident if within else "")
    can_be_off = source.kind == "inlet"
    up.feeds.append(Feed(ident, at, source.kind, can_be_off, automatic, stored, source.kind in _HOLDS))
    if source.kind == "inlet":
        up.device(ident, "cord", at, terminals, True, ident, thing=ident)
        return used
    for each in source.disconnects:
        switch = up.switches.get(each)
        if switch is not None and switch.direct_current:
            at = _through(up, switch, at, f"{ident}/{each}")
            used.add(each)
    direct = up.place(f"dc/{ident}", ident)
    up.joined(f"dc/{ident}", at, direct)
    up.device(f"inverter/{ident}", "inverter", direct, terminals, False, ident, thing=ident)
    return used


def _through(up: DrawingUp, switch: Switch, at: str, wire: str, backward: bool = False) -> str:
    """Through a switch, from its line side or backward from its load side."""
    line = up.place(f"switch/{switch.id}/line", switch.id)
    load = up.place(f"switch/{switch.id}/load", switch.id)
    up.device(switch.id, "disconnect", line, load, switch.lockable, switch.id, thing=switch.id)
    up.joined(f"wire/{wire}", at, load if backward else line)
    return line if backward else load


def _outward(up: DrawingUp, source: Source, at: str, used: set[str]) -> tuple[str, set[str]]:
    """Through the disconnects of alternating current, from the source outward."""
    for each in source.disconnects:
        wire = f"{source.id}/{each}"
        if each in used or each == source.breaker:
            continue
        if each in up.switches:
            at = _through(up, up.switches[each], at, wire, up.switches[each].fed_by in up.breakers)
        elif each in up.breakers and up.panel_of(up.breakers[each]) and source.breaker is not None:
            up.joined(f"wire/{wire}", at, f"out/{each}")
            at = f"bus/{up.panel_of(up.breakers[each])}"
        else:
            continue
        used.add(each)
    return at, used


def _joints(up: DrawingUp, source: Source, used: set[str]) -> list[str]:
    """Where the path of a source ends; none where it is not recorded."""
    breaker = source.breaker or next((b for b in source.disconnects if b in up.breakers and b not in used), None)
    found = []
    if breaker in up.breakers and source.joins in (None, "breaker", "transfer"):
        found.append(f"out/{breaker}")
    if source.joins == "supply side":
        found.append("service")
    if source.joins == "feeder" and source.feeder_of in up.panels:
        found.append(up.place(f"feeder/{source.feeder_of}"))
    found += _alternates(up, source, used)
    return list(dict.fromkeys(found))


def _alternates(up: DrawingUp, source: Source, used: set[str]) -> list[str]:
    """Alternate sides of transfer equipment that names the source or a disconnect on its path."""
    chain = {source.id, *used, *source.disconnects}
    found = [t.id for t in up.house.transfers if chain & set(t.alternate)]
    throws = [t.id for t in up.house.transfers if has_throws(t)]
    if not found and source.joins == "transfer" and source.breaker is None and len(throws) == 1:
        found = throws
    return [f"transfer/{each}/alternate" for each in found if each in throws]


def _named(up: DrawingUp) -> set[str]:
    """Ids that something is fed from."""
    named = {str(panel.fed_by) for panel in up.house.panels} | {str(each.fed_by) for each in up.house.switches}
    for transfer in up.house.transfers:
        named |= {str(transfer.normal), *transfer.alternate}
    return named


def _lone_switch(up: DrawingUp, switch: Switch, is_named: bool) -> None:
    """A switch on no source's path: fed by what it names; something fed from a switch nobody knows is in doubt."""
    line = up.place(f"switch/{switch.id}/line", switch.id)
    load = up.place(f"switch/{switch.id}/load", switch.id)
    up.device(switch.id, "disconnect", line, load, switch.lockable, switch.id, thing=switch.id)
    start = "service" if switch.fed_by == "service" else up.load_side(switch.fed_by or "")
    if start is not None:
        up.joined(f"wire/{switch.id}", start, line)
    elif is_named or switch.fed_by is not None:
        up.not_known("switch", switch.id, line)
