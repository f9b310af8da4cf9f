"""The equipment grounding conductor of a run: by its breaker, enlarged with the conductors, never larger than they."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import lru_cache

from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.conditions import USUAL_C, Conditions
from deadfront.circuits.rules.runs.sizing import METALS, analysis, works
from deadfront.codebook.conductors import area_cmil, grounding_size, size_of_area, sizes_of
from deadfront.errors import OutOfTable
from deadfront.msg import said
from deadfront.quantities import size_rank
from deadfront.results.circuits import Sized
from deadfront.worksheet import build
from deadfront.worksheet.step import Step


@lru_cache(maxsize=4096)
def grounds_of(case: RunCase) -> tuple[Sized, ...]:
    """The smallest equipment grounding conductor, copper and aluminum; none while the breaker is not known."""
    found = (ground_of(case, metal) for metal in METALS)
    return tuple(each for each in found if each is not None)


def ground_of(case: RunCase, metal: str) -> Sized | None:
    """The smallest equipment grounding conductor of that metal; None while the breaker is not known."""
    if case.rating_a is None or case.kind == "service":
        return None
    ident = f"run/{case.of}/ground/{metal}"
    try:
        plain = grounding_size(case.book, case.rating_a, metal)
        area = area_cmil(case.book, plain.value)
    except OutOfTable:
        return None
    name = said("run.ground_area", size=plain.value)
    step = build.lookup(f"{ident}/table", name, area.value, "cmil", plain.cite,
                        table="equipment_grounding_conductor", row=plain.row)  # fmt: skip
    share = _enlarged(case, ident)
    if share is None:
        return _no_larger(case, ident, Sized(plain.value, metal, replace(step, id=ident)))
    cite = case.book.rule("proportional_ground").cite
    asked = build.product(ident, "run.ground_enlarged", (step, share), unit="cmil", cite=cite)
    size = size_of_area(case.book, asked.value.low)
    used = str(case.cable.size)
    if metal == case.cable.metal and (size is None or size_rank(size) > size_rank(used)):
        size = used  # never larger than the ungrounded conductors (250.122(A))
    return None if size is None else Sized(size, metal, asked)


def _no_larger(case: RunCase, ident: str, by_table: Sized) -> Sized:
    """The size by the table, but never larger than the ungrounded conductors in place (250.122(A))."""
    used = case.cable.size
    same = case.cable.metal in (None, by_table.metal) and (case.cable.sets or 1) == 1
    if used is None or not same or size_rank(by_table.size) <= size_rank(used):
        return by_table
    try:
        area = area_cmil(case.book, used)
    except OutOfTable:
        return by_table
    own = build.given(f"{ident}/own", said("run.area_used", size=used), area.value, "cmil", area.cite, inline=False)
    table = replace(by_table.step, id=f"{ident}/table")
    return Sized(used, by_table.metal, build.least(ident, "run.ground_no_larger", (table, own), unit="cmil"))


def _enlarged(case: RunCase, ident: str) -> Step | None:
    """How many times the conductors in place are larger than the smallest that works; None where they are not."""
    needed = least_size(case)
    size = case.cable.size
    if needed is None or size is None or size_rank(size) <= size_rank(needed):
        return None
    try:
        used, least = area_cmil(case.book, size), area_cmil(case.book, needed)
    except OutOfTable:
        return None
    over = build.given(f"{ident}/used", said("run.area_used", size=size), used.value, "cmil", used.cite)
    under = build.given(f"{ident}/needed", said("run.area_needed", size=needed), least.value, "cmil", least.cite)
    return build.quotient(f"{ident}/share", "run.enlarged", over, under, unit="", inline=True)


def least_size(case: RunCase) -> str | None:
    """The smallest ungrounded conductor of the metal in place for its breaker: after correction from 2020 on."""
    done, metal = analysis(case), case.cable.metal
    if metal is None or done.around is None:
        return None
    at: Conditions = done.around.worst
    if not case.book.rule("proportional_ground").params["after_correction"]:
        at = replace(at, ambient_c=Decimal(USUAL_C), count=3)
    sizes = sizes_of(case.book, metal)
    return next((size for size in sizes if works(case, done.demand, size, metal, at)), None)
