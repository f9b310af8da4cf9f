"""What every test is handed: the book, the house with its records, what circuits found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from deadfront.codebook.book import Codebook
from deadfront.job.by_id import ById
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Circuit, Outlet
from deadfront.job.record_things import Correction, Instrument, Record, Torque
from deadfront.job.thing import Thing
from deadfront.job.things import COLLECTIONS
from deadfront.msg import Msg, said
from deadfront.results.circuits import CircuitsResult

LEFT, FOUND = "as left", "as found"
WRITTEN = frozenset({"name", "note", "seen", "place"})  # facts that are words about a thing, not the thing


@dataclass(frozen=True)
class Facts(ById):
    """One house at one step with its records.

    Args:
        book: The code in force.
        at: The house at the step.
        circuits: What the circuits stage answered on the same house.
    """

    book: Codebook
    at: HouseAt
    circuits: CircuitsResult

    @cached_property
    def kept(self) -> dict[str, Any]:
        """What a test has worked out once for all things of this house."""
        return {}

    @cached_property
    def things(self) -> Mapping[str, Thing]:
        """Every thing by id."""
        return {each.id: each for name in COLLECTIONS for each in getattr(self.at.house, name)}

    @cached_property
    def instruments(self) -> Mapping[str, Instrument]:
        """Instruments by id."""
        return {each.id: each for each in self.at.house.instruments}

    @cached_property
    def circuits_on(self) -> Mapping[str, tuple[Circuit, ...]]:
        """Circuits by the id of their breaker."""
        found: dict[str, list[Circuit]] = {}
        for each in self.at.house.circuits:
            if each.breaker is not None:
                found.setdefault(each.breaker, []).append(each)
        return {breaker: tuple(circuits) for breaker, circuits in found.items()}

    @cached_property
    def records_of(self) -> Mapping[tuple[str, str, str], tuple[Record, ...]]:
        """Records by test, thing and stage, the newest last."""
        found: dict[tuple[str, str, str], list[Record]] = {}
        for each in self.at.house.records:
            found.setdefault((each.test, each.thing or "", self.stage_of(each)), []).append(each)
        return {key: tuple(sorted(each, key=_when)) for key, each in found.items()}

    def stage_of(self, record: Record) -> str:
        """As found or as left: as said, else by whether it stands in the house before the work."""
        return record.stage or (LEFT if self.at.tag(record.id) == "N" else FOUND)

    def touched(self, *things: Thing | None) -> bool:
        """Whether the work makes, moves or changes one of these; another name or note changes nothing."""
        return any(each is not None and (self.at.tag(each.id) in ("N", "RL") or self.changed(each.id))
                   for each in things)  # fmt: skip

    def changed(self, ident: str) -> bool:
        """Whether the work sets a fact of a thing, or of the service, that has a body."""
        return bool(self.at.set_fields.get(ident, frozenset()) - WRITTEN)

    @cached_property
    def worked_in(self) -> tuple[str, ...]:
        """Panels that the work opens: something in them is made, moved, changed or taken out."""
        opened: dict[str, None] = {}
        circuits = {each.id: each for each in self.at.house.circuits}
        for panel in self.at.house.panels:
            inside = [each for each in self.at.house.breakers if each.panel == panel.id]
            if self.touched(panel, *inside, *(c for each in inside for c in self.circuits_on.get(each.id, ()))):
                opened[panel.id] = None
        for gear in self.at.house.gear:
            if gear.panel and self.touched(gear):
                opened[gear.panel] = None
        for channel in self.at.house.channels:
            if self.touched(channel):
                circuit = circuits.get(channel.measures or "")
                breaker = self.breakers.get(circuit.breaker or "") if circuit else None
                fed = channel.measures if channel.measures in self.panels else self._service_panel
                opened[(breaker.panel if breaker else fed) or self._service_panel or ""] = None
        for source in self.at.house.sources:
            breaker = self.breakers.get(source.breaker or "")
            if self.touched(source) and breaker is not None and breaker.panel:
                opened[breaker.panel] = None
        for gone in self.at.removed.values():
            breaker = self._breaker_gone(gone)
            if breaker is not None and breaker.panel:
                opened[breaker.panel] = None
        return tuple(each for each in opened if each in self.panels)

    def _breaker_gone(self, thing: Thing) -> Breaker | None:
        """The breaker that a removed breaker or circuit stood in or on."""
        if isinstance(thing, Breaker):
            return thing
        if isinstance(thing, Circuit) and thing.breaker:
            found = self.breakers.get(thing.breaker) or self.at.removed.get(thing.breaker)
            return found if isinstance(found, Breaker) else None
        return None

    @property
    def _service_panel(self) -> str | None:
        """The panel that the service feeds, or the only one."""
        found = [each.id for each in self.at.house.panels if each.fed_by == "service"] or list(self.panels)
        return found[0] if found else None

    @cached_property
    def pieces(self) -> tuple[str, ...]:
        """Enclosures beside panels that the work makes or changes: transfer equipment, disconnects, sources."""
        house = self.at.house
        return tuple(each.id for each in (*house.transfers, *house.switches, *house.sources) if self.touched(each))

    @cached_property
    def points(self) -> tuple[str, ...]:
        """Old circuits that are worked on away from their panel: outlets put in, a run extended."""
        away = {each.circuit for each in self.at.house.outlets if self.touched(each)}
        return tuple(each.id for each in self.at.house.circuits
                     if self.at.tag(each.id) != "N"
                     and (each.id in away or each.extended_ft or each.outlets_added))  # fmt: skip

    @cached_property
    def works(self) -> bool:
        """Whether there is any work: nothing is left as left where nothing was done."""
        paper = (Instrument, Record, Torque, Correction)
        return (
            any(self.changed(ident) for ident in self.at.set_fields)
            or any(not isinstance(each, paper) for each in self.at.removed.values())
            or any(self.at.tag(ident) in ("N", "RL") for ident, each in self.things.items()
                   if not isinstance(each, paper))
        )  # fmt: skip

    def name_of(self, ident: str) -> Msg:
        """What a thing is called."""
        if ident in ("service", "house"):
            return said(f"commission.of.{ident}")
        thing = self.things.get(ident)
        if thing is None:
            return said("thing.by_id", id=ident)
        if thing.name:
            return said("thing.named", name=thing.name)
        if isinstance(thing, Breaker) and thing.spaces:
            spaces = tuple(f"{space}{thing.half or ''}" for space in thing.spaces)
            circuits = self.circuits_on.get(thing.id, ())
            if circuits and circuits[0].name:
                return said("commission.of.breaker_named", name=circuits[0].name, spaces=spaces)
            return said("commission.of.breaker", spaces=spaces)
        if isinstance(thing, Outlet):
            circuit = self.things.get(thing.circuit or "")
            if circuit is not None and circuit.name:
                return said("commission.of.outlet_on", name=circuit.name, id=ident)
        return said("thing.by_id", id=ident)


def _when(record: Record) -> tuple[str, str]:
    """When it was taken; one whose day or hour is not known counts as the last of all, or of its day."""
    return (record.on.isoformat() if record.on else "9999", record.time or "99:99")
