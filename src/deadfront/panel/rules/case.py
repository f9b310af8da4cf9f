"""A panel of a house as a case in integers, or what stands in the way, with the way out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from deadfront.codebook.kinds import load_kinds
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.msg import Msg, said
from deadfront.panel.rules.currents import On, Sources, on_breaker
from deadfront.panel.rules.feeds import breakers_in as breakers_in
from deadfront.panel.rules.feeds import panel_name as panel_name
from deadfront.panel.rules.feeds import protects
from deadfront.panel.rules.pieces import Pieces
from deadfront.results.panel import PanelCase
from deadfront.topology.rows import place_of
from deadfront.worksheet.missing import Missing

LEGS = ("L1", "L2", "L3")


@dataclass(frozen=True)
class Laid:
    """A panel read for its layout.

    Args:
        case: In integers; None where `troubles` stand in the way.
        on: What is on every breaker, with its currents.
        troubles: What stands in the way, with the way out.
        missing: The facts that end it.
    """

    case: PanelCase | None
    on: Mapping[str, On]
    troubles: tuple[Msg, ...] = ()
    missing: tuple[Missing, ...] = ()


def case_of(sources: Sources, panel: Panel) -> Laid:
    """A panel of a house as a case."""
    at, name = sources.at, panel_name(panel)
    troubles, missing = list[Msg](), list[Missing]()
    if panel.spaces is None:
        troubles.append(said("panel.trouble.spaces", panel=name))
        missing.append(_missing(at, panel, "spaces", name))
    if at.house.service.system is None:
        troubles.append(said("panel.trouble.system"))
        missing.append(Missing("before/service.system", said("todo.service.system"), said("todo.how.service.system")))
    if panel.fuses:
        troubles.append(said("panel.trouble.fuses", panel=name))
    if panel.spaces is None or at.house.service.system is None or troubles:
        return Laid(None, {}, tuple(troubles), tuple(missing))
    system, pattern, wrong = _pattern(panel, at.house.service.system, name)
    if wrong is not None:
        return Laid(None, {}, (wrong,), (_missing(at, panel, "legs", name),))
    on = _all_on(sources, panel)
    pieces = Pieces(sources, panel, on)
    rows, columns = _geometry(panel)
    reserved, half, controllable = (
        _within(panel, field) for field in ("reserved", "half_spaces", "controllable_spaces")
    )
    open_legs = not panel.legs and len(pattern) == 3
    made = pieces.made()
    blind = any(each.controllable and each.now is None for each in made) and not panel.controllable_spaces
    case = PanelCase(
        panel.id, name, system, tuple(pattern[row % len(pattern)] for row in rows), columns, rows, made,
        tuple(_scenario(sources, index) for index in range(len(sources.scenarios))),
        _half_spaces(panel, half), frozenset(controllable) if panel.controllable_spaces else None, frozenset(reserved),
        panel.circuits_max, _main_tenths(sources, panel), tuple(_told(sources, panel, on, pieces)),
        legs_open=open_legs, places_open=blind, shape_open=any(_poles_open(each) for each in breakers_in(at, panel)),
    )  # fmt: skip
    return Laid(case, on)


def _poles_open(breaker: Breaker) -> bool:
    """Whether nobody knows how many poles a breaker has."""
    return breaker.poles is None and len(breaker.spaces) < 2 and breaker.role != "main"


def _missing(at: HouseAt, panel: Panel, field: str, name: Msg) -> Missing:
    return Missing(at.path(panel, field), said(f"todo.panel.{field}", panel=name), said(f"todo.how.panel.{field}"))


def _pattern(panel: Panel, system: str, name: Msg) -> tuple[str, tuple[int, ...], Msg | None]:
    """System of the panel and the leg of each row, repeated; or what is wrong with it."""
    if not panel.legs:
        return system, (0, 1, 2) if system == "208Y/120 3ph 4w" else (0, 1), None
    there = sorted(set(panel.legs))
    if len(there) == 1:
        return system, (), said("panel.trouble.one_leg", panel=name, leg=there[0])
    if "L3" in there and system != "208Y/120 3ph 4w":
        return system, (), said("panel.trouble.third_leg", panel=name)
    if system == "208Y/120 3ph 4w" and len(there) == 2:
        system = "208Y/120 1ph 3w"
        return system, tuple(there.index(leg) for leg in panel.legs), None
    return system, tuple(LEGS.index(leg) for leg in panel.legs), None


def _geometry(panel: Panel) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Row and column of every space, from 0."""
    at = [place_of(panel, space) for space in range(1, (panel.spaces or 0) + 1)]
    return tuple(row for row, _ in at), tuple(column for _, column in at)


def _within(panel: Panel, field: str) -> list[int]:
    return [space for space in getattr(panel, field) if space <= (panel.spaces or 0)]


def _half_spaces(panel: Panel, half: list[int]) -> frozenset[int] | None:
    """Spaces that take half-size breakers; none where the label allows no more circuits than spaces."""
    if half:
        return frozenset(half)
    if panel.circuits_max is not None and panel.circuits_max <= (panel.spaces or 0):
        return frozenset()
    return None


def _main_tenths(sources: Sources, panel: Panel) -> int | None:
    """Rating of what protects the panel [0.1 A]: its own main, the breaker that feeds it, the service disconnect."""
    ratings = [rating for rating, _ in protects(sources.at, panel)]
    return int(min(ratings) * 10) if ratings else None


def _scenario(sources: Sources, index: int) -> Msg:
    if sources.scenarios[index].name == "all on" and len(sources.scenarios) == 1:
        return said("panel.scenario.all_on")
    return said("thing.named", name=sources.scenarios[index].name)


def _all_on(sources: Sources, panel: Panel) -> dict[str, On]:
    """What is on every breaker of a panel."""
    house = sources.at.house
    circuits: dict[str, list[Circuit]] = {}
    for circuit in house.circuits:
        circuits.setdefault(circuit.breaker or "", []).append(circuit)
    fed: dict[str, list[Panel]] = {}
    for each in house.panels:
        if each.id != panel.id:
            fed.setdefault(each.fed_by or "", []).append(each)
    return {each.id: on_breaker(sources, each, circuits.get(each.id, ()), fed.get(each.id, ()))
            for each in breakers_in(sources.at, panel)}  # fmt: skip


def _told(sources: Sources, panel: Panel, on: Mapping[str, On], pieces: Pieces) -> Iterator[Msg]:
    """What was assumed or left out, in words."""
    if panel.numbering is None:
        yield said("panel.told.numbering")
    if not panel.legs:
        three = sources.at.house.service.system == "208Y/120 3ph 4w"
        yield said("panel.told.legs_open" if three else "panel.told.legs")
    stay = tuple(each.name for each in pieces.made() if each.stays_for == "source")
    if stay:
        yield said("panel.told.sources", names=stay)
    if any(each.either for each in pieces.made()):
        yield said("panel.told.either", names=tuple(each.name for each in pieces.made() if each.either))
    if sources.at.house.complete.breakers != "yes":
        yield said("panel.told.breakers_open")
    unknown = sum(1 for each in on.values() if each.by_basis)
    if unknown:
        yield said("panel.told.basis", count=unknown)
    if any(each.feeds for each in on.values()):
        yield said("panel.told.feeders_even")
    if sources.at.house.service.system == "208Y/120 3ph 4w" and any(p.poles == 2 for p in pieces.made()):
        yield said("panel.told.between_legs")
    beyond = {space for field in ("reserved", "half_spaces", "controllable_spaces") for space in getattr(panel, field)
              if space > (panel.spaces or 0)}  # fmt: skip
    if beyond:
        yield said("panel.told.beyond", spaces=tuple(map(str, sorted(beyond))), last=panel.spaces or 0)
    if pieces.controllable and not panel.controllable_spaces:
        yield said("panel.told.controllable_unknown")
    if pieces.kept:
        yield said("panel.told.kept", names=tuple(pieces.kept))
    known = {each.id for each in (*sources.at.house.circuits, *sources.at.house.panels)}
    named = {ident for each in sources.scenarios for ident in each.currents_a} - known
    named |= {kind for each in sources.scenarios for kind in each.percent} - set(load_kinds())
    if named:
        yield said("panel.told.strangers", ids=tuple(sorted(named)))
