"""A panel of a house as a case in integers, or what stands in the way, with the way out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from deadfront.codebook.kinds import load_kinds
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.msg import Msg, said
from deadfront.panel.rules.currents import On, Sources, on_breaker, tenths
from deadfront.results.panel import PanelCase, Piece, Place
from deadfront.topology.rows import place_of
from deadfront.worksheet.check import Reach
from deadfront.worksheet.missing import Missing

SMALL_RATING_A = 30
"""Half-size breakers of one pole above this are not a common thing: none is proposed (common practice)."""
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


def panel_name(panel: Panel) -> Msg:
    """What a panel is called."""
    return said("thing.named", name=panel.name) if panel.name else said("thing.by_id", id=panel.id)


def breakers_in(at: HouseAt, panel: Panel) -> list[Breaker]:
    """Breakers of a panel; one that names no panel is in the only one there is."""
    only = len(at.house.panels) == 1
    return [each for each in at.house.breakers if each.panel == panel.id or (each.panel is None and only)]


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
    pieces = _Pieces(sources, panel, on)
    rows, columns = _geometry(panel)
    reserved, half, controllable = (
        _within(panel, field) for field in ("reserved", "half_spaces", "controllable_spaces")
    )
    case = PanelCase(
        panel.id, name, system, tuple(pattern[row % len(pattern)] for row in rows), columns, rows, pieces.made(),
        tuple(_scenario(sources, index) for index in range(len(sources.scenarios))),
        _half_spaces(panel, half), frozenset(controllable) if panel.controllable_spaces else None, frozenset(reserved),
        panel.circuits_max, _main_tenths(sources, panel), tuple(_told(sources, panel, on, pieces)),
    )  # fmt: skip
    return Laid(case, on)


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
    house = sources.at.house
    mains = [each.rating_a for each in breakers_in(sources.at, panel) if each.role == "main" and each.rating_a]
    feeding = [each.rating_a for each in house.breakers if each.id == panel.fed_by and each.rating_a]
    by_service = panel.fed_by == "service" or (panel.fed_by is None and len(house.panels) == 1)
    service = house.service.disconnect.rating_a if by_service else None
    ratings: list[Decimal] = [*mains, *feeding, *([service] if service is not None and not mains else [])]
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


def _told(sources: Sources, panel: Panel, on: Mapping[str, On], pieces: _Pieces) -> Iterator[Msg]:
    """What was assumed or left out, in words."""
    if panel.numbering is None:
        yield said("panel.told.numbering")
    if not panel.legs:
        yield said("panel.told.legs")
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


class _Pieces:
    """Turns the breakers of a panel into pieces."""

    def __init__(self, sources: Sources, panel: Panel, on: Mapping[str, On]) -> None:
        self.sources, self.panel, self.on = sources, panel, on
        self.breakers = {each.id: each for each in breakers_in(sources.at, panel)}
        self.kept: list[Msg] = []
        self.controllable = any(each.controllable for each in self.breakers.values())
        self.shared = self._links_by_neutral()
        self.tied = self._links_by_tie()
        self._made = tuple(self._piece(each) for each in self.breakers.values() if self._stands(each))

    def made(self) -> tuple[Piece, ...]:
        """The pieces, in the order of the house."""
        return self._made

    @staticmethod
    def _stands(breaker: Breaker) -> bool:
        """A main on stabs of its own takes no numbered space."""
        return bool(breaker.spaces) or breaker.role != "main"

    def _links_by_neutral(self) -> dict[str, set[str]]:
        circuits = {each.id: each for each in self.sources.at.house.circuits}
        found: dict[str, set[str]] = {}
        for circuit in circuits.values():
            other = circuits.get(circuit.shares_neutral_with or "")
            if other is None or circuit.breaker == other.breaker:
                continue
            here, there = circuit.breaker or "", other.breaker or ""
            if here in self.breakers and there in self.breakers:
                found.setdefault(here, set()).add(there)
                found.setdefault(there, set()).add(here)
        return found

    def _links_by_tie(self) -> dict[str, set[str]]:
        found: dict[str, set[str]] = {}
        for breaker in self.breakers.values():
            other = breaker.tied_with or ""
            if other in self.breakers and other != breaker.id:
                found.setdefault(breaker.id, set()).add(other)
                found.setdefault(other, set()).add(breaker.id)
        for ident, others in self.shared.items():
            if self.breakers[ident].opens_with_partner and len(others) == 1:
                found.setdefault(ident, set()).update(others)
        return found

    def _piece(self, breaker: Breaker) -> Piece:
        on, name = self.on[breaker.id], self.sources.name_of(breaker, self.on[breaker.id].circuits,
                                                             self.on[breaker.id].feeds)  # fmt: skip
        poles = breaker.poles or (2 if len(breaker.spaces) >= 2 else 1)
        now = Place(tuple(sorted(breaker.spaces)), breaker.half or "") if breaker.spaces else None
        partners = self.shared.get(breaker.id, set()) | self.tied.get(breaker.id, set())
        mutual = all(self._partners(other) == {breaker.id} for other in partners)
        odd = now is not None and (len(now.spaces) != poles or (bool(now.half) and poles == 2))
        single = len(partners) <= 1 and mutual and (not partners or poles == 1)
        kept = now is not None and (odd or not single)
        if kept and not breaker.fixed and breaker.role != "main":
            self.kept.append(name)
        plain = breaker.protection == "plain" and poles == 1 and not breaker.controllable and breaker.role == "branch"
        either = plain and (breaker.rating_a or 99) <= SMALL_RATING_A
        blind = bool(breaker.controllable) and not self.panel.controllable_spaces and now is not None
        halved = breaker.half is not None
        partner = next(iter(partners)) if len(partners) == 1 else ""
        return Piece(
            breaker.id, name, poles, tuple(tenths(step, breaker) for step in on.steps), now,
            half=halved or either, full=not halved or either,
            fixed=bool(breaker.fixed) or kept or breaker.role == "main" or blind, role=breaker.role,
            controllable=bool(breaker.controllable), partner=partner,
            shares_neutral=partner in self.shared.get(breaker.id, set()),
            tied=partner in self.tied.get(breaker.id, set()), group=breaker.group or "",
            listed=breaker.listed_for_panel, reach=self._reach(breaker),
        )  # fmt: skip

    def _partners(self, ident: str) -> set[str]:
        return self.shared.get(ident, set()) | self.tied.get(ident, set())

    def _reach(self, breaker: Breaker) -> Reach:
        letter = self.sources.at.tag(breaker.id)
        changed = letter == "RL" or breaker.id in self.sources.at.changed
        return Reach.NEW if letter == "N" else Reach.REPLACED if changed else Reach.EXISTING
