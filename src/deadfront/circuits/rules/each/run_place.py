"""Cables where they may not run: dry types outdoors and in wet places, others than buried types in the ground."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.checking import TOUCHED, verdict
from deadfront.codebook.conductors import insulation_of
from deadfront.errors import OutOfTable
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome

IDS = ("circuit.cable_place", "feeder.cable_place")
WET = ("outdoors", "wet", "underground")


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each run whose conductors the work touches and whose type is known."""
    for case in facts.cases.values():
        if case.wires_reach in TOUCHED and case.cable.type is not None:
            found = place_check(case)
            if found is not None:
                yield found


@lru_cache(maxsize=4096)
def place_check(case: RunCase) -> Check | None:
    """The type of cable of one run against its places; None for a type that is not in the table."""
    try:
        row = insulation_of(case.book, str(case.cable.type))
    except OutOfTable:
        return None  # said with the conductors
    ident, cites = f"{case.kind}.cable_place", (case.book.rule("cable_places").cite,)
    kind, wanted = str(row["type"]), []
    for place in case.cable.runs:
        column = "underground" if place == "underground" else "wet" if place in WET else ""
        if column:
            wanted.append((place, row[column]))
    bad = next((place for place, may in wanted if may == "no"), None)
    if bad is not None:
        where = said(f"run.place.{bad}")
        return verdict(case, ident, Outcome.FAILS, cites=cites, kind=kind, place=where)
    dry_only = row["wet"] == "no"
    if not case.cable.runs and dry_only:
        return verdict(case, ident, Outcome.CANNOT_TELL, missing=(case.lacks("runs"),), cites=cites, kind=kind)
    if any(may is None for _, may in wanted):
        return verdict(case, ident, Outcome.CANNOT_TELL, which="cannot_tell_listing", missing=(case.lacks("type"),),
                       cites=cites, kind=kind)  # fmt: skip
    return verdict(case, ident, Outcome.MEETS, cites=cites, kind=kind) if case.cable.runs else None
