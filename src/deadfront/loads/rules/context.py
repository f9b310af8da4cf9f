"""What every load rule is handed: the book, the house, the choices, the assumptions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from deadfront.codebook.book import Codebook
from deadfront.job.house import HouseAt
from deadfront.job.things import Load, Unit
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN
from deadfront.recordings.answer import Reduction
from deadfront.results.loads import Reading
from deadfront.worksheet import build
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

NOTHING_ELSE = "nothing_else_connected"
TYPICAL = "typical_sizes"
DISCONNECT_SMALLEST = "disconnect_is_smallest"
POWER_FACTOR_085 = "power_factor_085"


@dataclass(frozen=True)
class Context:
    """One calculation: handed to every rule, changed by none.

    Args:
        book: The code in force, with amendments.
        at: The house at the step that is calculated.
        assumptions: Named assumptions of the job.
        readings: Reading chosen per disputed subject.
        existing: True for an existing dwelling, None if not known.
        measured: What each recording of the job comes to, by its id; one that is not reduced is not there.
        unread: Why a recording could not be reduced, by its id, where that is known.
    """

    book: Codebook
    at: HouseAt
    assumptions: frozenset[str] = frozenset()
    readings: Mapping[str, str] = field(default_factory=dict)
    existing: bool | None = True
    measured: Mapping[str, Reduction] = field(default_factory=dict)
    unread: Mapping[str, Msg] = field(default_factory=dict)

    def cite(self, subject: str) -> Cite:
        """Where a rule stands in this edition."""
        return self.book.rule(subject).cite

    def number(self, name: str) -> Decimal:
        """A numeric code value."""
        value = self.book.value(name).value
        assert isinstance(value, Decimal), name
        return value

    def given(self, ident: str, name: str) -> Step:
        """A code value as a leaf Step, shown inside formulas."""
        entry = self.book.value(name)
        return build.given(ident, said(f"value.{name}"), self.number(name), entry.unit, entry.cite)

    def open(self) -> bool:
        """True while the list of loads is not said to be complete: every total is a lower bound."""
        return self.at.house.complete.loads != "yes" and NOTHING_ELSE not in self.assumptions

    def closing_assumption(self) -> tuple[str, ...]:
        """The assumption that closes the list of loads, where one does."""
        return (NOTHING_ELSE,) if self.at.house.complete.loads != "yes" and NOTHING_ELSE in self.assumptions else ()

    def unlisted(self, prefix: str) -> Step:
        """Loads not looked for yet: from nothing upward."""
        missing = Missing("before/complete.loads", said("todo.complete.loads"), said("todo.how.walk"))
        return build.fact(f"{prefix}/unlisted", "load.unlisted", UNKNOWN, "VA", missing.path, missing=missing)

    def reading(self, subject: str) -> Reading:
        """The reading in force of a disputed rule: an amendment's, the job's, else the larger figure."""
        rule = self.book.rule(subject)
        selected = self.book.selected(subject)
        if selected is not None:
            return Reading(subject, rule.readings, selected[0], "amendment")
        chosen = self.readings.get(subject, "")
        if chosen in rule.readings:
            return Reading(subject, rule.readings, chosen, "job")
        return Reading(subject, rule.readings, "", "larger")


def load_name(context: Context, load: Load) -> Msg:
    """What a load is called on a sheet: with its tag N or RL where the work touches it."""
    name, tag = thing_name(load.id, load.name, load.kind), context.at.tag(load.id)
    units = context.at.house.units
    unit = next((u for u in units if u.id == load.unit), None)
    if unit is not None and len(units) > 1:
        name = said("thing.in_unit", thing=name, unit=unit_name(context, unit))
    return name if tag == "E" else said("thing.tagged", thing=name, tag=tag)


def unit_name(context: Context, unit: Unit) -> Msg:
    """What a dwelling unit is called: its own name, else its number in the list."""
    if unit.name:
        return said("thing.named", name=unit.name)
    return said("thing.unit", number=[u.id for u in context.at.house.units].index(unit.id) + 1)


def thing_name(ident: str, name: str | None, kind: str) -> Msg:
    """What a load is called: its own name, else its kind."""
    return said("thing.named", name=name) if name else said(f"kind.{kind}", id=ident)
