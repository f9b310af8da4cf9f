"""The loads of a house as the rules see them: how many, how much each, on which wires."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from deadfront.codebook.kinds import Kind, load_kinds
from deadfront.job.things import Load, Unit
from deadfront.loads.rules.context import Context, load_name
from deadfront.loads.rules.nameplate import nameplate_load
from deadfront.msg import said
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


@dataclass(frozen=True)
class Item:
    """One load entry, counted.

    Args:
        load: As the job has it.
        kind: What it is for the rules.
        number: How many (quantity times alike dwelling units).
        each: Load of one [VA].
        all: Load of all [VA].
        neutral: Uses the neutral.
        motor: Counts for the largest-motor rule.
        hp: Horsepower, if marked.
        new: Added by the work, or enlarged by it (its facts set by a work step).
        unit: Its dwelling unit; None for a house load.
    """

    load: Load
    kind: Kind
    number: int
    each: Step
    all: Step
    neutral: bool
    motor: bool
    hp: Decimal | None
    new: bool
    unit: Unit | None

    @property
    def group(self) -> str:
        return self.kind.group


def horsepower(text: str) -> Decimal:
    """ "1-1/2" hp as a number."""
    whole, _, part = text.rpartition("-")
    value = Fraction(part) + (int(whole) if whole else 0)
    return Decimal(value.numerator) / Decimal(value.denominator)


def unit_of(load: Load, units: Iterable[Unit]) -> Unit | None:
    """The dwelling unit a load belongs to: its own, else the only one there is."""
    every = tuple(units)
    if load.unit == "house":
        return None
    if load.unit is not None:
        return next((u for u in every if u.id == load.unit), None)
    return every[0] if len(every) == 1 and every[0].count == 1 else None


def uses_neutral(load: Load, kind: Kind) -> bool:
    """Whether a load uses the neutral: as entered, else by its volts, else as usual for its kind."""
    if load.neutral is not None:
        return load.neutral
    if load.volts is not None:
        return load.volts < 140 or kind.neutral and kind.volts > 140
    return kind.neutral


def unit_unsaid(context: Context, load: Load) -> bool:
    """True where a load may be in one of several units, or one of the house, and nobody has said which."""
    units = context.at.house.units
    return load.unit is None and sum(unit.count for unit in units) > 1


def _unsaid(context: Context, load: Load, each: Step) -> Step:
    """A load of a unit nobody named: from nothing (an upper figure counts it in every unit) until it is said."""
    ident, name = f"load/{load.id}/all", load_name(context, load)
    most = max(unit.count for unit in context.at.house.units) * load.quantity
    count = build.counted(f"load/{load.id}/number", "count.of_these", most)
    missing = Missing(context.at.path(load, "unit"), said("todo.unit", thing=name), said("todo.how.unit"))
    none = build.given(f"load/{load.id}/none", "load.at_least_nothing", 0, "VA", None)
    return build.between_cases(
        ident, name, none, build.product(f"{ident}/most", name, (count, each)), missing=(missing,)
    )


def item_of(context: Context, load: Load) -> Item:
    """One load as the rules see it."""
    kind = load_kinds()[load.kind]
    unit = unit_of(load, context.at.house.units)
    number = load.quantity * (unit.count if unit else 1)
    each = nameplate_load(context, load, kind)
    every = each
    if number > 1:
        count = build.counted(f"load/{load.id}/number", "count.of_these", number)
        every = build.product(f"load/{load.id}/all", load_name(context, load), (count, each))
    if unit_unsaid(context, load):
        every = _unsaid(context, load, each)
    return Item(
        load,
        kind,
        number,
        each,
        every,
        uses_neutral(load, kind),
        kind.motor if load.motor is None else load.motor,
        horsepower(load.hp) if load.hp else None,
        context.at.tag(load.id) == "N" or load.id in context.at.changed,
        unit,
    )


def items_of(context: Context) -> tuple[Item, ...]:
    """Every load of the house, in a stable order that does not depend on how they were entered."""
    loads = sorted(context.at.house.loads, key=lambda load: load.id)
    return tuple(item_of(context, load) for load in loads)


def of(items: Iterable[Item], *groups: str) -> tuple[Item, ...]:
    """The items of some groups."""
    return tuple(item for item in items if item.group in groups)
