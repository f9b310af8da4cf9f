"""What an unknown fact is called, and how figures are written beside symbols."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import ROUND_CEILING, Decimal

from deadfront.documents.catalog import Catalog
from deadfront.documents.circuit_sheets.common import place_name
from deadfront.job.house import HouseAt, things
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.quantities import point
from deadfront.results.circuits import CircuitsResult, FaultPoint
from deadfront.worksheet.sheet import Figure
from deadfront.worksheet.step import Step

NOT_KNOWN = "?"
PARTS = ("outside", "transformer", "service point", "drop")


@dataclass(frozen=True, slots=True)
class Ask:
    """A fact that stands as "?" in the drawing: what of, and which."""

    thing: str
    fact: str


@dataclass
class Telling:
    """What the labels are made from, and the facts they lack.

    Args:
        at: The house.
        result: What the circuits stage says of it.
        catalog: The language.
    """

    at: HouseAt
    result: CircuitsResult
    catalog: Catalog
    asks: list[Ask] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.things: dict[str, Thing] = {thing.id: thing for _, thing in things(self.at.house)}
        self.faults: dict[str, FaultPoint] = {each.of: each for each in self.result.faults}

    def key(self, key: str, /, **params: object) -> str:
        """Words of this drawing."""
        return self.catalog.key(key, **params)

    def ask(self, thing: str, fact: str) -> str:
        """The mark of a fact that is not known, kept for the list of what is to be found out."""
        wanted = Ask(thing, fact)
        if wanted not in self.asks:
            self.asks.append(wanted)
        return NOT_KNOWN

    def amount(self, value: Decimal | None, unit: str, thing: str, fact: str) -> str:
        """A figure with its unit: "200 A"; "? A" where it is not known."""
        if value is None:
            return f"{self.ask(thing, fact)} {unit}"
        return self.catalog.figure(Figure(point(value), unit))

    def fault(self, place: str) -> str:
        """Available fault current at a place: "fault 9,810 A"; with "?" where its upper end is not known.

        Ahead of the service disconnect the larger of leg to leg and leg to neutral; one alone is told as what it is.
        """
        found = self.faults.get(place)
        if found is None:
            return self.key("one_line.fault_unknown", mark=self.ask(place, "fault"))
        whole, pair = _upper(found.largest), (_upper(found.line_to_line), _upper(found.line_to_neutral))
        if whole is None and None not in pair:
            whole = max(each for each in pair if each is not None)
        if whole is not None:
            return self.key("one_line.fault", current=f"{whole:,} A")
        for key, each in zip(("one_line.fault_legs", "one_line.fault_neutral"), pair, strict=True):
            if each is not None:
                return self.key(key, current=f"{each:,} A")
        return self.key("one_line.fault_unknown", mark=self.ask(place, "fault"))

    def tag(self, ident: str) -> str:
        """ "(E)", "(N)", "(RL)"; of the service: (N) where the work sets its facts."""
        if ident in self.at.tags:
            return f"({self.at.tag(ident)})"
        return "(E)"

    def set_tag(self, *names: str) -> str:
        """The tag of a part of the service: (N) where the work sets it."""
        return "(N)" if set(names) & self.at.set_fields.get("service", frozenset()) else "(E)"

    def name(self, ident: str, other: str) -> str:
        """What a thing is called, else what it is."""
        thing = self.things.get(ident)
        return thing.name if thing is not None and thing.name else self.key(f"one_line.kind.{other}")


def _upper(step: Step | None) -> int | None:
    """The upper end of a current, upward to a whole ampere: what devices must interrupt; None: not known."""
    high = None if step is None else step.value.high
    return None if high is None else int(high.to_integral_value(rounding=ROUND_CEILING))


def ask_name(at: HouseAt, ident: str) -> Msg:
    """What a thing of the to-find list is called."""
    return said(f"one_line.part.{ident.replace(' ', '_')}") if ident in PARTS else place_name(at, ident)
