"""A set with its neutral joined to its frame trips its ground-fault protection on a neutral not switched."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.sources.rules.transfer.neutral import neutral_answers
from deadfront.sources.rules.transfer.wiring import standby
from deadfront.worksheet.check import Check, Outcome

ID = "transfer.ground_fault_trip"
IDS = (ID,)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Each portable set, inlet, and set with outlets that trip on a ground fault."""
    for source in standby(facts):
        if source.kind == "inlet" or source.portable or source.ground_fault_protected:
            yield from _check(facts, source)


def _check(facts: SourceFacts, source: Source) -> Iterator[Check]:
    derived = {each.derived for each in neutral_answers(facts) if each.source == source.id}
    switched = derived == {True}
    harmless = switched or source.neutral_bonded is False or source.ground_fault_protected is False
    sure = source.neutral_bonded and source.ground_fault_protected and False in derived  # in one state is enough
    outcome = Outcome.MEETS if harmless else Outcome.FAILS if sure else Outcome.CANNOT_TELL
    how = {Outcome.FAILS: "fails", Outcome.CANNOT_TELL: "cannot_tell"}.get(outcome, "meets")
    missing = facts.missing(source, "neutral_bonded", "ground_fault_protected")
    lacks = [m for each in neutral_answers(facts) if each.source == source.id for m in each.missing]
    missing += tuple(dict.fromkeys(m for m in lacks if m.path not in {each.path for each in missing}))
    transfers = [facts.transfers[each] for each, _ in _positions(facts, source)]
    yield from tell(ID, source.id, outcome, facts.reach_of(source, *transfers), how, facts.name_of(source),
                    cites=(facts.cite("portable_ground_fault"), facts.cite("portable_neutral")),
                    missing=missing)  # fmt: skip


def _positions(facts: SourceFacts, source: Source) -> tuple[tuple[str, str], ...]:
    return next((each.positions for each in neutral_answers(facts) if each.source == source.id), ())
