"""What every test is handed: the book, the house with its records, what circuits found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from deadfront.codebook.book import Codebook
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Circuit, Outlet, Panel
from deadfront.job.record_things import Instrument, Record, Torque
from deadfront.job.thing import Thing
from deadfront.job.things import COLLECTIONS
from deadfront.msg import Msg, said
from deadfront.results.circuits import CircuitsResult

LEFT, FOUND = "as left", "as found"


@dataclass(frozen=True)
class Facts:
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
    def breakers(self) -> Mapping[str, Breaker]:
        """Breakers by id."""
        return {each.id: each for each in self.at.house.breakers}

    @cached_property
    def panels(self) -> Mapping[str, Panel]:
        """Panels by id."""
        return {each.id: each for each in self.at.house.panels}

    @cached_property
    def circuits_on(self) -> Mapping[str, tuple[Circuit, ...]]:
        """Circuits by the id of their breaker."""
        found: dict[str, list[Circuit]] = {}
        for each in self.at.house.circuits:
            if each.breaker is not None:
                found.setdefault(each.breaker, []).append(each)
        return {breaker: tuple(circuits) for breaker, circuits in found.items()}

    @cached_property
    def outlets_on(self) -> Mapping[str, tuple[Outlet, ...]]:
        """Outlets by the id of their circuit."""
        found: dict[str, list[Outlet]] = {}
        for each in self.at.house.outlets:
            if each.circuit is not None:
                found.setdefault(each.circuit, []).append(each)
        return {circuit: tuple(outlets) for circuit, outlets in found.items()}

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
        """Whether the work makes, moves or changes one of these."""
        return any(each is not None and (self.at.tag(each.id) in ("N", "RL") or each.id in self.at.changed)
                   for each in things)  # fmt: skip

    @cached_property
    def works(self) -> bool:
        """Whether there is any work: nothing is left as left where nothing was done."""
        paper = (Instrument, Record, Torque)
        return bool(self.at.changed) or any(
            self.at.tag(ident) in ("N", "RL") for ident, thing in self.things.items() if not isinstance(thing, paper)
        )

    @property
    def wye(self) -> bool | None:
        """Whether the two legs are of a 208Y/120 service; None where the system is not known."""
        system = self.at.house.service.system
        return None if system is None else system.startswith("208")

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
    """When it was taken; one without a date comes first."""
    return (record.on.isoformat() if record.on else "", record.time or "")
