"""A panel of a house as a case in integers, or what stands in the way, with the way out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from deadfront.codebook.kinds import load_kinds
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.msg import Msg, said
from deadfront.panel.rules.currents import On, Sources, held, is_source, on_breaker, poles_of, tenths
from deadfront.results.panel import PanelCase, Piece, Place
from deadfront.topology.rows import place_of
from deadfront.worksheet.check import Reach
from deadfront.worksheet.missing import Missing

SMALL_RATING_A = 30
"""Half-size breakers of one pole above this are not a common thing: none is proposed (common practice)."""
LEGS = ("L1", "L2", "L3")
AWAY = {"top": -1, "bottom": 1}
"""Sign by which rows are sorted so that the end away from the feed comes first."""
WITH_THE_UTILITY = {"solar", "battery", "vehicle"}
"""Sources that work together with the utility; others are kept from it by transfer equipment."""


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


def protects(at: HouseAt, panel: Panel) -> list[tuple[Decimal, bool]]:
    """Ratings that hold for the current into a panel [A], and whether each is of a breaker or fuse.

    Its own main; else what feeds it: a breaker, a disconnect with what feeds that, transfer equipment, the service.
    """
    mains = [each.rating_a for each in breakers_in(at, panel) if each.role == "main" and each.rating_a]
    feed = panel.fed_by or ("service" if len(at.house.panels) == 1 else None)
    found = [(rating, True) for rating in mains]
    return found + [each for each in _upstream(at, feed, frozenset()) if not mains or feed != "service"]


def _upstream(at: HouseAt, feed: str | None, seen: frozenset[str]) -> Iterator[tuple[Decimal, bool]]:
    house = at.house
    if feed == "service":
        if house.service.disconnect.rating_a:
            yield house.service.disconnect.rating_a, True
        return
    if feed is None or feed in seen:
        return
    for breaker in house.breakers:
        if breaker.id == feed and breaker.rating_a:
            yield breaker.rating_a, True
    for switch in house.switches:
        if switch.id == feed:
            yield from ((rating, rating is switch.fuse_a) for rating in (switch.rating_a, switch.fuse_a) if rating)
            yield from _upstream(at, switch.fed_by, seen | {feed})
    for gear in house.transfers:
        if gear.id == feed:
            yield from ((rating, False) for rating in (gear.rating_a,) if rating)
            yield from _upstream(at, gear.normal, seen | {feed})


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


class _Pieces:
    """Turns the breakers of a panel into pieces."""

    def __init__(self, sources: Sources, panel: Panel, on: Mapping[str, On]) -> None:
        self.sources, self.panel, self.on = sources, panel, on
        self.breakers = {each.id: each for each in breakers_in(sources.at, panel)}
        self.kept: list[Msg] = []
        self.controllable = any(each.controllable for each in self.breakers.values())
        self.shared = self._links_by_neutral()
        self.tied = self._links_by_tie()
        self.groups = self._neutral_groups()
        self.elsewhere = self._neutrals_elsewhere()
        self.bodies = self._bodies()
        self.source_ends = self._source_ends()
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

    def _neutral_groups(self) -> dict[str, str]:
        """Breakers that share one neutral among three or more, by the first of them."""
        found: dict[str, str] = {}
        for ident in self.breakers:
            members, more = {ident}, self.shared.get(ident, set())
            while more - members:
                members |= more
                more = {each for member in members for each in self.shared.get(member, set())}
            if len(members) > 2:
                found[ident] = min(members)
        return found

    def _neutrals_elsewhere(self) -> set[str]:
        """Breakers whose circuit shares its neutral with one that a breaker of another panel feeds."""
        house = self.sources.at.house
        circuits = {each.id: each for each in house.circuits}
        all_breakers = {each.id for each in house.breakers if each.panel is not None}
        found: set[str] = set()
        for circuit in house.circuits:
            other = circuits.get(circuit.shares_neutral_with or "")
            for here, there in ((circuit, other), (other, circuit)):
                if here is None or there is None or (here.breaker or "") not in self.breakers:
                    continue
                if there.breaker in all_breakers and there.breaker not in self.breakers:
                    found.add(here.breaker or "")
        return found

    def _bodies(self) -> dict[str, str]:
        """Two halves of one space: a tandem, one body."""
        halves: dict[int, list[Breaker]] = {}
        for breaker in self.breakers.values():
            if breaker.half is not None and len(breaker.spaces) == 1 and poles_of(breaker) == 1:
                halves.setdefault(breaker.spaces[0], []).append(breaker)
        pairs = [(a, b) for a, b in (each for each in halves.values() if len(each) == 2) if a.half != b.half]
        return {a.id: b.id for a, b in pairs} | {b.id: a.id for a, b in pairs}

    def _source_ends(self) -> dict[str, frozenset[int]]:
        """Spaces at the end of the bus away from where it is fed, for each source that works together with the utility.

        Behind what is moved there nothing may stand but breakers of other sources that stay; where spaces are kept for
        a source, those are its place.
        """
        panel, fed = self.panel, self.panel.lugs_at if self.panel.main_at in (None, "none") else self.panel.main_at
        able = [each for each in self.breakers.values() if self._parallel(each)]
        if not able or fed not in AWAY or panel.reserved or panel.spaces is None:
            return {}
        found: dict[str, frozenset[int]] = {}
        for breaker in able:
            kept = {space for each in able if each.id != breaker.id and each.spaces for space in each.spaces}
            ends: list[int] = []
            for column in (0, 1):
                down = sorted((s for s in range(1, panel.spaces + 1) if place_of(panel, s)[1] == column),
                              key=lambda s: place_of(panel, s)[0] * AWAY[fed])  # fmt: skip
                while down and down[0] in kept:
                    down.pop(0)
                ends += down[: poles_of(breaker)]
            found[breaker.id] = frozenset(ends)
        return found

    def _parallel(self, breaker: Breaker) -> bool:
        """Whether the source on a breaker works together with the utility, so that its place on the bus counts."""
        kinds = {each.kind for each in self.sources.at.house.sources if each.breaker == breaker.id}
        kept = breaker.kept_apart or (kinds and not kinds & WITH_THE_UTILITY)
        return not kept and (breaker.role == "source" or bool(kinds))

    def _piece(self, breaker: Breaker) -> Piece:
        on, name = self.on[breaker.id], self.sources.name_of(breaker, self.on[breaker.id].circuits,
                                                             self.on[breaker.id].feeds)  # fmt: skip
        poles = poles_of(breaker)
        now = Place(tuple(sorted(breaker.spaces)), breaker.half or "") if breaker.spaces else None
        partners = self._partners(breaker.id)
        source = breaker.role != "main" and is_source(self.sources.at, breaker)
        why = self._why_it_stays(breaker, poles, partners, source)
        if why in ("hand", "shape"):
            self.kept.append(name)
        plain = breaker.protection == "plain" and poles == 1 and not breaker.controllable and breaker.role == "branch"
        either = plain and (breaker.rating_a or 99) <= SMALL_RATING_A
        halved = breaker.half is not None
        partner = next(iter(partners)) if len(partners) == 1 else ""
        upper, lower = (tuple(tenths(pair[pole], breaker) for pair in on.poles) for pole in (0, 1))
        return Piece(
            breaker.id, name, poles, tuple(tenths(step, breaker) for step in on.steps), now,
            half=halved or either, full=not halved or either,
            fixed=bool(breaker.fixed) or bool(why) or breaker.role == "main", role="source" if source else breaker.role,
            controllable=bool(breaker.controllable), partner=partner,
            shares_neutral=partner in self.shared.get(breaker.id, set()),
            tied=partner in self.tied.get(breaker.id, set()), group=breaker.group or "",
            listed=breaker.listed_for_panel, reach=self._reach(breaker), upper=upper, lower=lower, either=on.either,
            stays_for=why, ends=self.source_ends.get(breaker.id), body=self.bodies.get(breaker.id, ""),
            neutral=self.groups.get(breaker.id, ""), neutral_elsewhere=breaker.id in self.elsewhere,
        )  # fmt: skip

    def _why_it_stays(self, breaker: Breaker, poles: int, partners: set[str], source: bool) -> str:
        """Why a breaker stays that nobody said stays: "" where it may be moved."""
        if not breaker.spaces or breaker.fixed or breaker.role == "main":
            return ""
        mutual = all(self._partners(other) == {breaker.id} for other in partners)
        if len(breaker.spaces) != poles:
            return "unknown" if breaker.controllable and len(breaker.spaces) > poles else "shape"
        if (breaker.half is not None and poles == 2) or len(partners) > 1 or not mutual or (partners and poles != 1):
            return "hand"
        if (source or held(breaker)) and breaker.fixed is None and self._reach(breaker) is not Reach.NEW:
            return "source"
        return "unknown" if breaker.controllable and not self.panel.controllable_spaces else ""

    def _partners(self, ident: str) -> set[str]:
        return self.shared.get(ident, set()) | self.tied.get(ident, set())

    def _reach(self, breaker: Breaker) -> Reach:
        letter = self.sources.at.tag(breaker.id)
        changed = letter == "RL" or breaker.id in self.sources.at.changed
        return Reach.NEW if letter == "N" else Reach.REPLACED if changed else Reach.EXISTING
