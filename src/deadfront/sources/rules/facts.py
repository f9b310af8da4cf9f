"""What every rule on sources is handed: the book, the house, what the work does with it, the answers so far."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property
from typing import Any, TypeVar

from deadfront.codebook.book import Codebook
from deadfront.job.by_id import ById
from deadfront.job.house import HouseAt
from deadfront.job.load_things import EnergyManagement
from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.source_things import Source, Switch, Transfer
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, Interval
from deadfront.results.circuits import CircuitsResult, Run
from deadfront.results.loads import LoadResult
from deadfront.results.sources import BusAnswer, StringAnswer
from deadfront.worksheet import build
from deadfront.worksheet.check import Reach
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

T = TypeVar("T")
TOUCHED = (Reach.NEW, Reach.EXTENDED, Reach.REPLACED)
UNITS = (
    ("_a", "A"),
    ("_percent", "%"),
    ("_kva", "kVA"),
    ("_v", "V"),
    ("_ft", "ft"),
    ("_w", "VA"),
    ("_kwh", "kWh"),
    ("_s", "s"),
    ("volts", "V"),
)


@dataclass(frozen=True)
class SourceFacts(ById):
    """One house at one step: handed to every rule, changed by none.

    Args:
        book: The code in force, with amendments.
        at: The house at the step.
        load: The load answer of the same house.
        circuits: The circuits answer of the same house.
        assumptions: Named assumptions of the job.
        readings: Reading chosen per disputed subject.
        buses, strings: Answers made so far; rules of `each` get them all.
    """

    book: Codebook
    at: HouseAt
    load: LoadResult
    circuits: CircuitsResult
    assumptions: frozenset[str] = frozenset()
    readings: Mapping[str, str] = field(default_factory=dict)
    buses: tuple[BusAnswer, ...] = ()
    strings: tuple[StringAnswer, ...] = ()

    def holding(self, **answers: Any) -> SourceFacts:
        """The same facts with answers made so far."""
        return replace(self, **answers)

    @cached_property
    def _made(self) -> dict[Callable[[SourceFacts], Any], Any]:
        return {}

    def once(self, make: Callable[[SourceFacts], T]) -> T:
        """What a function makes of these facts: worked when first asked for, then kept."""
        if make not in self._made:
            self._made[make] = make(self)
        found: T = self._made[make]
        return found

    # --- the code ---------------------------------------------------------------------------------------------------
    def cite(self, subject: str) -> Cite:
        """Where a rule stands in this edition."""
        return self.book.rule(subject).cite

    def in_force(self, subject: str) -> bool:
        """Whether the edition has a rule and no local amendment bars it."""
        return self.book.has(subject) and self.book.barred(subject) is None

    def number(self, name: str) -> Decimal:
        """A numeric code value."""
        return self.book.value(name).number

    def given(self, ident: str, name: str) -> Step:
        """A code value as a leaf Step, shown inside formulas."""
        entry = self.book.value(name)
        return build.given(ident, said(f"value.{name}"), entry.number, entry.unit, entry.cite)

    # --- the house --------------------------------------------------------------------------------------------------
    @cached_property
    def switches(self) -> Mapping[str, Switch]:
        """Disconnects that are no breakers, by id."""
        return {each.id: each for each in self.at.house.switches}

    @cached_property
    def transfers(self) -> Mapping[str, Transfer]:
        """Transfer equipment by id."""
        return {each.id: each for each in self.at.house.transfers}

    @cached_property
    def sources(self) -> Mapping[str, Source]:
        """Sources by id."""
        return {each.id: each for each in self.at.house.sources}

    @cached_property
    def systems(self) -> Mapping[str, EnergyManagement]:
        """Energy management and power control systems by id."""
        return {each.id: each for each in self.at.house.energy_management}

    @cached_property
    def feeders(self) -> Mapping[str, Run]:
        """Runs of feeders by the id of the panel they feed."""
        return {each.of: each for each in self.circuits.runs if each.kind == "feeder"}

    def panel_of(self, breaker: Breaker | None) -> Panel | None:
        """The panel a breaker is in: the one it names, else the only one there is."""
        if breaker is None:
            return None
        if breaker.panel is None and len(self.panels) == 1:
            return next(iter(self.panels.values()))
        return self.panels.get(breaker.panel or "")

    def in_panel(self, panel: Panel) -> tuple[Breaker, ...]:
        """The breakers of a panel."""
        return tuple(each for each in self.at.house.breakers if self.panel_of(each) is panel)

    def fed_by(self, panel: Panel) -> str | None:
        """What feeds a panel, as recorded; a panel alone in the house is fed by the service."""
        return panel.fed_by or ("service" if len(self.panels) == 1 else None)

    def reach_of(self, *things: Thing | None) -> Reach:
        """What the work does with things that belong together: the most far-reaching of what it does with each."""
        found = {self._reach(each) for each in things if each is not None}
        return next((each for each in TOUCHED if each in found), Reach.EXISTING)

    def _reach(self, thing: Thing) -> Reach:
        letter = self.at.tag(thing.id)
        if letter == "N":
            return Reach.NEW
        return Reach.REPLACED if letter == "RL" or thing.id in self.at.changed else Reach.EXISTING

    # --- words and missing facts --------------------------------------------------------------------------------------
    def name_of(self, thing: Thing | None) -> Msg:
        """What a thing is called: its own name, else what it is; None for the service."""
        if thing is None:
            return said("thing.service")
        if thing.name:
            return said("thing.named", name=thing.name)
        if isinstance(thing, Source):
            return said("source.by_kind", kind=said(f"source.kind.{thing.kind}"), id=thing.id)
        if isinstance(thing, Breaker) and thing.spaces and thing.rating_a is not None:
            return said("thing.breaker", rating=thing.rating_a, spaces=thing.spaces)
        return said("thing.by_id", id=thing.id)

    def lack(self, thing: Thing | None, name: str) -> Missing:
        """One fact of a thing, or of the service, to find out ("cable.size" for an inner one)."""
        key = name.rpartition(".")[2]
        path = f"before/service.{name}" if thing is None else self.at.path(thing, name)
        what = said(f"todo.sources.{key}", thing=self.name_of(thing))
        return Missing(path, what, said(f"todo.how.sources.{key}"))

    def missing(self, thing: Thing | None, *names: str) -> tuple[Missing, ...]:
        """Those of the named facts that are not known, each with how to get it."""
        return tuple(self._lacking(thing, names))

    def _lacking(self, thing: Thing | None, names: tuple[str, ...]) -> Iterator[Missing]:
        for name in names:
            value: object = self.at.house.service if thing is None else thing
            for part in name.split("."):
                value = getattr(value, part, None)
            if value in (None, (), "unknown"):
                yield self.lack(thing, name)

    def fact(self, ident: str, say: str | Msg, thing: Thing | None, name: str, *, inline: bool = False) -> Step:
        """A quantity of a thing, or of the service, as a leaf Step: an open range where it is not known."""
        value: Any = self.at.house.service if thing is None else thing
        for part in name.split("."):
            value = getattr(value, part, None)
        unit = next((unit for ending, unit in UNITS if name.endswith(ending)), "")
        path = f"before/service.{name}" if thing is None else self.at.path(thing, name)
        known: Interval | Decimal = UNKNOWN if value is None else Decimal(value)
        lacks = self.lack(thing, name) if value is None else None
        return build.fact(ident, say, known, unit, path, missing=lacks, inline=inline)
