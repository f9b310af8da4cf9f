"""What a run is judged by, and nothing else: frozen, hashable, so that a case met before is not worked again."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from decimal import Decimal
from functools import lru_cache
from typing import Literal, NamedTuple

from deadfront.codebook.book import Codebook
from deadfront.job.panel_things import Cable
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Reach
from deadfront.worksheet.missing import Missing


class LoadCase(NamedTuple):
    """One load on a run, as Load has it; `root` is where its facts stand in the job."""

    id: str
    root: str
    kind: str
    name: str | None
    quantity: int
    nameplate_w: Decimal | None
    nameplate_va: Decimal | None
    nameplate_a: Decimal | None
    minimum_circuit_ampacity_a: Decimal | None
    maximum_overcurrent_a: Decimal | None
    volts: Decimal | None
    hp: str | None
    motor: bool | None
    supplemental_w: Decimal | None
    together: bool | None
    continuous: bool | None
    continuous_rated: bool | None
    setting_a: Decimal | None
    setting_restricted: bool | None
    cord_and_plug: bool | None
    power_factor: Decimal | None

    @property
    def said_name(self) -> Msg:
        """What it is called."""
        return said("thing.named", name=self.name) if self.name else said(f"kind.{self.kind}")


class BreakerCase(NamedTuple):
    """The breaker ahead of a run, as Breaker has it."""

    id: str
    root: str
    rating_a: Decimal | None
    poles: int | None
    listed_full_load: bool | None


@dataclass(frozen=True, eq=True)
class RunCase:
    """One run: what it is, its conductors, its breaker, its loads, what the work does with it.

    Args:
        kind: Branch circuit, feeder or service.
        of: Id of the circuit or of the panel a feeder feeds; "service".
        root: Where its facts stand in the job: "before/c-7qd".
        said_name: What the run is called.
        wires: Name of its conductors' field there: "cable", "feeder", "conductors".
        volts: Between its ungrounded conductors, or conductor and neutral; None where not known.
        in_raceway: Current-carrying conductors in its raceway; None where it has none.
        nipple: That raceway is 24 in or less.
        several_receptacles: More than one receptacle for cord-and-plug loads; None where not known.
        general: Supplies lighting or receptacles, so that what is on it is not all listed.
        whole_dwelling: Carries the whole load of one dwelling on a system the 83 percent rule reaches.
        wires_reach: What the work does with its conductors alone, whatever becomes of breaker and loads.
        feeder_load_a: Load on a feeder by calculation [A]; None for its loads as listed.
        unlisted: A feeder with circuits whose loads are not all listed.
    """

    book: Codebook
    kind: Literal["circuit", "feeder", "service"]
    of: str
    root: str
    wires: str
    said_name: Msg
    cable: Cable
    breaker: BreakerCase | None
    loads: tuple[LoadCase, ...]
    reach: Reach
    volts: Decimal | None = None
    load_va: Decimal | None = None
    continuous_va: Decimal | None = None
    in_raceway: int | None = None
    raceway_kind: str | None = None
    nipple: bool = False
    several_receptacles: bool | None = None
    general: bool = False
    whole_dwelling: bool = False
    unlisted: bool = False
    wires_reach: Reach = Reach.EXISTING
    feeder_load_a: Decimal | None = None
    _hash: int = field(default=0, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_hash", hash(tuple(getattr(self, name) for name in COMPARED)))

    def __hash__(self) -> int:
        return self._hash

    @property
    def rating_a(self) -> Decimal | None:
        """Rating of its breaker [A]."""
        return None if self.breaker is None else self.breaker.rating_a

    @property
    def alone(self) -> LoadCase | None:
        """The one load it supplies, where it supplies one and nothing else."""
        one = self.loads[0] if len(self.loads) == 1 and self.loads[0].quantity == 1 else None
        return one if one is not None and not self.general and self.load_va is None else None

    def path(self, field_: str) -> str:
        """Where a fact of its conductors stands in the job."""
        return f"{self.root}.{self.wires}.{field_}"

    def lacks(self, field_: str) -> Missing:
        """A fact of its conductors that is not known, and how to get it."""
        what, how = said(f"todo.circuits.{field_}", thing=self.said_name), said(f"todo.how.circuits.{field_}")
        return Missing(self.path(field_), what, how)

    def lacks_outlets(self) -> Missing:
        """What the outlets of the circuit are as a fact to find out."""
        what, how = said("todo.circuits.outlet_kinds", thing=self.said_name), said("todo.how.circuits.outlet_kinds")
        return Missing(f"{self.root}.outlet_kinds", what, how)

    def lacks_loads(self) -> Missing:
        """The loads of a panel as facts to find out."""
        what = said("todo.circuits.panel_loads", thing=self.said_name)
        return Missing("before/complete.loads", what, said("todo.how.circuits.panel_loads"))

    def lacks_feeder_load(self) -> Missing:
        """The calculated load of a feeder as a fact to find out."""
        what = said("todo.circuits.feeder_load_a", thing=self.said_name)
        return Missing(f"{self.root}.feeder_load_a", what, said("todo.how.circuits.feeder_load_a"))

    def lacks_poles(self) -> Missing:
        """The poles of its breaker as a fact to find out."""
        what, how = said("todo.circuits.poles", thing=self.said_name), said("todo.how.circuits.poles")
        return Missing(f"{self.root}.breaker" if self.breaker is None else f"{self.breaker.root}.poles", what, how)

    def lacks_rating(self) -> Missing:
        """The rating of its breaker as a fact to find out."""
        what, how = said("todo.circuits.rating_a", thing=self.said_name), said("todo.how.circuits.rating_a")
        return Missing(f"{self.root}.breaker" if self.breaker is None else f"{self.breaker.root}.rating_a", what, how)


COMPARED = tuple(each.name for each in fields(RunCase) if each.compare)


@lru_cache(maxsize=4096)
def kept(case: RunCase) -> RunCase:
    """The case met first that equals this one, so that later look-ups go by identity."""
    return case
