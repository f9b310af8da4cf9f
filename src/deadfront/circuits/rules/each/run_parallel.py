"""Conductors in parallel: only 1/0 and larger."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.checking import size_of, touched, verdict
from deadfront.circuits.rules.runs.sizing import PARALLEL_FROM
from deadfront.quantities import size_rank
from deadfront.worksheet.check import Check, Outcome, Severity

IDS = ("circuit.parallel", "feeder.parallel")


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each run with more than one set of conductors."""
    for case in facts.cases.values():
        sets = case.cable.sets or 1
        if sets == 1:
            continue
        ident, cites = f"{case.kind}.parallel", (case.book.rule("parallel_conductors").cite,)
        if case.cable.size is None:
            if touched(case):
                yield verdict(case, ident, Outcome.CANNOT_TELL, missing=(case.lacks("size"),), cites=cites, sets=sets)
            continue
        large = size_rank(case.cable.size) >= size_rank(PARALLEL_FROM)
        if not large or touched(case):
            outcome = Outcome.MEETS if large else Outcome.FAILS
            yield verdict(case, ident, outcome, Severity.DANGER, cites=cites, sets=sets, size=size_of(case),
                          least=PARALLEL_FROM)  # fmt: skip
