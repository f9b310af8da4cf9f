"""The neutral brought to the service disconnect, and the smallest conductors that a service or a drop may have."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.electrode_lines import lines_open
from deadfront.circuits.rules.service.neutral import neutral_amperes
from deadfront.circuits.rules.service.sizes import of_metal, text
from deadfront.circuits.rules.service.telling import SERVICE, lacks, name_of, tell
from deadfront.circuits.rules.service.work import service_work
from deadfront.codebook.lookup import ampacity, dwelling_size
from deadfront.errors import OutOfTable
from deadfront.job.thing import Conductors
from deadfront.quantities import size_rank
from deadfront.results.circuits import Required
from deadfront.worksheet.check import Check, Outcome, Reach

NEUTRAL, LEAST = "service.grounded_conductor", "service.minimum_size"
IDS = (NEUTRAL, LEAST)


def checks(facts: Facts) -> Iterator[Check]:
    """The neutral, then the least size of what stands."""
    for line in facts.grounding:
        if line.subject == "grounded_conductor":
            yield from _neutral(facts, line)
    house = facts.at.house
    yield from _entrance(facts)
    yield from _drop(facts, house.service.drop, service_work(facts).drop)


def _neutral(facts: Facts, line: Required) -> Iterator[Check]:
    each = facts.at.house.service.conductors
    fields = lines_open(facts, line.smallest, each.neutral_metal or each.metal) + (
        ["conductors.neutral_size"] if each.neutral_size is None else []
    )
    missing = lacks(facts, None, *fields)
    load = neutral_amperes(facts)
    if not missing and load is not None:
        missing = load.all_missing()
    shown = of_metal(line.smallest, each.neutral_metal or each.metal)
    yield from tell(NEUTRAL, SERVICE, line.outcome, service_work(facts).conductors, line.outcome.name.lower(),
                    name_of(facts, None), cites=(facts.cite("grounded_conductor"),), caution="neutral",
                    missing=missing or lacks(facts, None, "conductors.neutral_size"),
                    step=shown.step if shown else None, found=line.found, least=text(line.smallest))  # fmt: skip


def _entrance(facts: Facts) -> Iterator[Check]:
    """Conductors of a one-family dwelling: good for the least disconnect it may have."""
    house = facts.at.house
    units = sum(each.count for each in house.units)
    each, reach = house.service.conductors, service_work(facts).conductors
    if units > 1:
        return
    least_a = facts.number("service_min_one_family_a")
    if each.size is None or each.metal is None:
        outcome: Outcome = Outcome.CANNOT_TELL
    else:
        outcome = Outcome.MEETS if _carries(facts, each, least_a) else Outcome.FAILS
    missing = lacks(facts, None, *(f"conductors.{n}" for n in ("size", "metal") if getattr(each, n) is None))
    yield from tell(LEAST, SERVICE, outcome, reach, f"entrance_{outcome.name.lower()}", name_of(facts, None),
                    cites=(facts.cite("service_entrance_least"),), caution="line_side", missing=missing,
                    found=each.size, least=least_a)  # fmt: skip


def _carries(facts: Facts, each: Conductors, least_a: Decimal) -> bool:
    size, metal, sets = each.size, each.metal, each.sets or 1
    if size is None or metal is None:
        return False
    try:
        if sets == 1 and size_rank(size) >= size_rank(dwelling_size(facts.book, least_a, metal).value):
            return True
        return ampacity(facts.book, size, metal, 75).value * sets >= least_a
    except OutOfTable:
        return False


def _drop(facts: Facts, drop: Conductors, reach: Reach) -> Iterator[Check]:
    """A drop or lateral of known size; the utility's own rules may let it be smaller."""
    if drop.size is None or drop.metal is None:
        return
    least = str(facts.book.rule("service_conductors_least").params[drop.metal])
    outcome = Outcome.MEETS if size_rank(drop.size) >= size_rank(least) else Outcome.FAILS
    yield from tell(LEAST, SERVICE, outcome, reach, f"drop_{outcome.name.lower()}", name_of(facts, None),
                    cites=(facts.cite("service_conductors_least"),), caution="drop", found=drop.size,
                    least=least)  # fmt: skip
