"""The setting of a power control system counts in place of 125 percent of the output only under its conditions."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source
from deadfront.sources.rules.amounts import RULE, control_holds
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome

ID = "source.control"
IDS = (ID,)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every source with a setting entered."""
    for source in facts.at.house.sources:
        if source.control_limit_a is not None:
            yield from _check(facts, source)


def _check(facts: SourceFacts, source: Source) -> Iterator[Check]:
    reach, name = facts.reach_of(source), facts.name_of(source)
    if not facts.book.has(RULE):
        yield from tell(ID, source.id, Outcome.NOT_APPLICABLE, reach, "edition", name,
                        cites=(facts.cite("bus_sum"),), edition=facts.book.edition)  # fmt: skip
        return
    cites = (facts.cite(RULE),)
    by = facts.book.barred(RULE)
    if by is not None:
        yield from tell(ID, source.id, Outcome.NOT_APPLICABLE, reach, "barred", name, cites=cites, by=by)
        return
    told = control_holds(facts, source)
    outcome = {True: Outcome.MEETS, False: Outcome.FAILS, None: Outcome.CANNOT_TELL}[told.truth]
    yield from tell(ID, source.id, outcome, reach, outcome.name.lower(), name, cites=cites, missing=told.lacking,
                    setting=source.control_limit_a)  # fmt: skip
