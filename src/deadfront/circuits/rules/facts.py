"""What every circuits rule is handed: the book, the house, what the work does with it, the answers so far."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import cached_property, lru_cache
from typing import Any, TypeVar

from deadfront.circuits.rules.naming import called
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.codebook.book import Codebook
from deadfront.job.by_id import ById
from deadfront.job.house import HouseAt
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Breaker, Circuit, Panel, Raceway
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.results.circuits import Drop, FaultPoint, Question, Required, Run
from deadfront.results.loads import LoadResult
from deadfront.topology.graph import Graph, graph_of
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Reach
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

T = TypeVar("T")
OF_THE_HOUSE = ("graph", "breakers", "panels", "raceways", "loads_on", "circuits", "outlets_on", "_reaches", "_names")
TOUCHED = (Reach.NEW, Reach.EXTENDED, Reach.REPLACED)


@lru_cache(maxsize=1024)
def rule_cite(book: Codebook, subject: str) -> Cite:
    """Where a rule stands in an edition, remembered."""
    return book.rule(subject).cite


@dataclass(frozen=True)
class Facts(ById):
    """One house at one step: handed to every rule, changed by none.

    Args:
        book: The code in force, with amendments.
        at: The house at the step.
        load: The load answer of the same house.
        assumptions: Named assumptions of the job.
        readings: Reading chosen per disputed subject.
        existing: True for an existing dwelling, None if not known.
        permit_on: Date of the permit, None if not known.
        cases: What each branch circuit and feeder is judged by, by the id of its circuit or of the panel it feeds.
        runs, drops, faults, grounding, questions: Answers made so far; rules of `each` get them all.
        site_checks: What the questions come to, made together with them.
    """

    book: Codebook
    at: HouseAt
    load: LoadResult
    assumptions: frozenset[str] = frozenset()
    readings: Mapping[str, str] = field(default_factory=dict)
    existing: bool | None = True
    permit_on: date | None = None
    cases: Mapping[str, RunCase] = field(default_factory=dict)
    runs: tuple[Run, ...] = ()
    drops: tuple[Drop, ...] = ()
    faults: tuple[FaultPoint, ...] = ()
    grounding: tuple[Required, ...] = ()
    questions: tuple[Question, ...] = ()
    site_checks: tuple[Check, ...] = ()

    def holding(self, **answers: Any) -> Facts:
        """The same facts with answers made so far; what was worked out of the house alone is kept."""
        grown = replace(self, **answers)
        kept = {name: self.__dict__[name] for name in OF_THE_HOUSE if name in self.__dict__}
        grown.__dict__.update(kept)
        return grown

    # --- the code ---------------------------------------------------------------------------------------------------
    def cite(self, subject: str) -> Cite:
        """Where a rule stands in this edition."""
        return rule_cite(self.book, subject)

    def number(self, name: str) -> Decimal:
        """A numeric code value."""
        return self.book.value(name).number

    def given(self, ident: str, name: str) -> Step:
        """A code value as a leaf Step, shown inside formulas."""
        entry = self.book.value(name)
        return build.given(ident, said(f"value.{name}"), entry.number, entry.unit, entry.cite)

    @cached_property
    def _made(self) -> dict[Callable[[Facts], Any], Any]:
        return {}

    def once(self, make: Callable[[Facts], T]) -> T:
        """What a function makes of these facts: worked when first asked for, then kept."""
        if make not in self._made:
            self._made[make] = make(self)
        found: T = self._made[make]
        return found

    # --- the house --------------------------------------------------------------------------------------------------
    @cached_property
    def graph(self) -> Graph:
        """The house as a graph of sources, conductors and devices."""
        return graph_of(self.at.house)

    def feeding(self, panel: Panel) -> Breaker | None:
        """The breaker that a panel's feeder starts from, transfer equipment in its normal position."""
        return self.breakers.get(self.graph.supply.get(panel.id, ""))

    @cached_property
    def raceways(self) -> Mapping[str, Raceway]:
        """Raceways by id."""
        return {each.id: each for each in self.at.house.raceways}

    @cached_property
    def loads_on(self) -> Mapping[str, tuple[Load, ...]]:
        """Loads by the id of their circuit."""
        found: dict[str, list[Load]] = {}
        for each in self.at.house.loads:
            if each.circuit is not None:
                found.setdefault(each.circuit, []).append(each)
        return {circuit: tuple(loads) for circuit, loads in found.items()}

    @cached_property
    def circuits(self) -> Mapping[str, Circuit]:
        """Circuits by id."""
        return {each.id: each for each in self.at.house.circuits}

    def breaker_of(self, circuit: Circuit) -> Breaker | None:
        """The breaker of a circuit, if it is known."""
        return self.breakers.get(circuit.breaker or "")

    def panel_of(self, breaker: Breaker | None) -> Panel | None:
        """The panel a breaker is in: the one it names, else the only one there is."""
        if breaker is None:
            return None
        if breaker.panel is None and len(self.panels) == 1:
            return next(iter(self.panels.values()))
        return self.panels.get(breaker.panel or "")

    def reach_of(self, *things: Thing | None) -> Reach:
        """What the work does with things that belong together: the most far-reaching of what it does with each."""
        known, found = self._reaches, Reach.EXISTING
        for thing in things:
            if thing is None:
                continue
            reach = known.get(thing.id)
            if reach is None:
                reach = known[thing.id] = self._reach(thing)
            if reach is not Reach.EXISTING and (found is Reach.EXISTING or TOUCHED.index(reach) < TOUCHED.index(found)):
                found = reach
        return found

    @cached_property
    def _reaches(self) -> dict[str, Reach]:
        return {}

    def _reach(self, thing: Thing) -> Reach:
        letter = self.at.tag(thing.id)
        if letter == "N":
            return Reach.NEW
        if isinstance(thing, Circuit) and (thing.extended_ft or thing.outlets_added):
            return Reach.EXTENDED
        return Reach.REPLACED if letter == "RL" or thing.id in self.at.changed else Reach.EXISTING

    # --- words and missing facts --------------------------------------------------------------------------------------
    def name_of(self, thing: Thing, fallback: str) -> Msg:
        """What a thing is called: its own name, else what it is and where, else the words of `fallback` with its id."""
        known = self._names.get((thing.id, fallback))
        if known is None:
            known = self._names[(thing.id, fallback)] = called(self, thing) or said(fallback, id=thing.id)
        return known

    @cached_property
    def _names(self) -> dict[tuple[str, str], Msg]:
        return {}

    def missing(self, thing: Thing, *fields: str) -> tuple[Missing, ...]:
        """Those of a thing's fields that are not known, each with how to get it ("cable.size" for an inner one)."""
        return tuple(self._lacking(thing, fields))

    def _lacking(self, thing: Thing, fields: tuple[str, ...]) -> Iterator[Missing]:
        for name in fields:
            value: object = thing
            for part in name.split("."):
                value = getattr(value, part, None)
            if value in (None, (), "unknown"):
                key = name.rpartition(".")[2]
                what = said(f"todo.circuits.{key}", thing=self.name_of(thing, "thing.by_id"))
                yield Missing(self.at.path(thing, name), what, said(f"todo.how.circuits.{key}"))
