"""Breakers as pieces of a layout: what they carry, whom they belong to, why they stay, where they may go."""

from __future__ import annotations

from collections.abc import Mapping

from deadfront.job.panel_things import Breaker, Panel
from deadfront.msg import Msg
from deadfront.panel.rules.currents import On, Sources, held, is_source, poles_of, tenths
from deadfront.panel.rules.feeds import breakers_in
from deadfront.results.panel import Piece, Place
from deadfront.topology.rows import place_of
from deadfront.worksheet.check import Reach

SMALL_RATING_A = 30
"""Half-size breakers of one pole above this are not a common thing: none is proposed (common practice)."""
AWAY = {"top": -1, "bottom": 1}
"""Sign by which rows are sorted so that the end away from the feed comes first."""
WITH_THE_UTILITY = {"solar", "battery", "vehicle"}
"""Sources that work together with the utility; others are kept from it by transfer equipment."""


class Pieces:
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
