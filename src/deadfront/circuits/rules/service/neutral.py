"""The grounded conductor of the service: by the table for fault current, and by the neutral load where it is known."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.electrode_lines import service_lines
from deadfront.circuits.rules.service.sizes import CELSIUS, Lines, sized, verdict
from deadfront.codebook.conductors import area_cmil, size_of_area, sizes_of
from deadfront.codebook.lookup import ampacity
from deadfront.errors import OutOfTable
from deadfront.msg import said
from deadfront.quantities import size_rank
from deadfront.results.circuits import Required, Sized
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.step import Step

IDENT = "grounding/service/grounded_conductor"
PARALLEL_SMALLEST = "1/0"


def grounded_conductor(facts: Facts) -> Iterator[Required]:
    """The neutral brought to the service disconnect, for each of its sets."""
    each = facts.at.house.service.conductors
    lines, load = service_lines(facts), neutral_amperes(facts)
    smallest = _smallest(facts, lines, load, load.value.high if load is not None else None)
    metal = each.neutral_metal or each.metal
    outcome = verdict(each.neutral_size, metal, smallest)
    if outcome is Outcome.FAILS and load is not None:
        least = _smallest(facts, lines, load, load.value.low)
        outcome = Outcome.FAILS if verdict(each.neutral_size, metal, least) is Outcome.FAILS else Outcome.CANNOT_TELL
    if outcome is Outcome.MEETS and _neutral_open(facts):
        outcome = Outcome.CANNOT_TELL
    name = said("grounding.name.grounded_conductor")
    yield Required("grounded_conductor", "service", name, smallest, each.neutral_size or "", outcome)


def _smallest(facts: Facts, lines: Lines | None, load: Step | None, load_a: Decimal | None) -> tuple[Sized, ...]:
    """Smallest neutral by the table, and for a neutral load of so many amperes."""
    if lines is None:
        return ()
    try:
        by_table = sized(facts.book, "bonding_jumper", lines, IDENT)
        if lines.sets > 1:
            by_table = tuple(_of_each_set(facts, lines, each) for each in by_table)
        if load is None or load_a is None:
            return by_table
        return tuple(_by_load(facts, each, load, load_a) for each in by_table)
    except OutOfTable:
        return ()


def _of_each_set(facts: Facts, lines: Lines, total: Sized) -> Sized:
    """One neutral of several sets: its share, what its own raceway asks for, and never below the parallel minimum."""
    book = facts.book
    ident = f"{total.step.id}/set"
    sets = build.counted(f"{ident}/sets", "grounding.sets", lines.sets)
    share = build.quotient(f"{ident}/share", "grounding.each_set", total.step, sets, unit="cmil")
    own = next(each for each in sized(book, "bonding_jumper", lines.one_set(), f"{IDENT}/own")
               if each.metal == total.metal)  # fmt: skip
    floor = area_cmil(book, PARALLEL_SMALLEST)
    parallel = build.given(f"{ident}/parallel", "grounding.parallel", floor.value, "cmil",
                           book.rule("parallel_conductors").cite)  # fmt: skip
    least = build.largest(ident, "grounding.least_area", (share, own.step, parallel), unit="cmil")
    size = size_of_area(book, least.value.low)
    return Sized(size or own.size, total.metal, least, lines.sets)


def neutral_amperes(facts: Facts) -> Step | None:
    """The neutral load at the service [A], by the method relied on, else by the first that has one."""
    relied = facts.load.method(facts.load.relied)
    if relied is not None and relied.neutral_amperes is not None:
        return relied.neutral_amperes
    return next((m.neutral_amperes for m in facts.load.methods if m.neutral_amperes is not None), None)


def _neutral_open(facts: Facts) -> bool:
    """Whether nothing bounds the neutral load, so that the table alone cannot pass a neutral below full size."""
    each = facts.at.house.service.conductors
    load = neutral_amperes(facts)
    full = each.neutral_size == each.size and each.neutral_metal in (None, each.metal)
    return not full and (load is None or load.value.high is None)


def _by_load(facts: Facts, least: Sized, load: Step, load_a: Decimal) -> Sized:
    """The larger of what the table and the neutral load ask for."""
    book, rank = facts.book, size_rank(least.size)
    for size in sizes_of(book, least.metal):
        carried = ampacity(book, size, least.metal, CELSIUS)
        if size_rank(size) >= rank and carried.value * least.sets >= load_a:
            if size == least.size:
                return least
            step = build.lookup(f"{least.step.id}/load", "grounding.by_neutral_load", area_cmil(book, size).value,
                                "cmil", carried.cite, table="conductor_ampacity",
                                row=f"{carried.row}: {carried.value} A", args=(load,))  # fmt: skip
            return replace(least, size=size, step=step)
    return least
