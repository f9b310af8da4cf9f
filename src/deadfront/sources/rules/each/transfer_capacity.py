"""A standby source that takes its load by itself carries all of it, or the most that is let on."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.results.transfer import CapacityAnswer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.sources.rules.transfer.capacity import capacity_answers, contradicts
from deadfront.sources.rules.transfer.sides import sources_of
from deadfront.worksheet.check import Check, Outcome

ID = "transfer.capacity"
IDS = (ID,)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One for each piece of transfer equipment with a standby source."""
    for answer in capacity_answers(facts):
        yield from _check(facts, answer)


def _check(facts: SourceFacts, answer: CapacityAnswer) -> Iterator[Check]:
    transfer = facts.transfers[answer.transfer]
    outcome, ending = answer.outcome, answer.outcome.name.lower()
    how = "hand" if answer.by == "hand" else "not_told" if not answer.by else f"{answer.by}_{ending}"
    if contradicts(transfer):
        how = "contradicts"
    asked = answer.asked.value if answer.asked else None
    given = answer.given.value if answer.given else None
    remedy = "managed" if answer.by == "managed" else "full"
    yield from tell(ID, transfer.id, outcome, facts.reach_of(transfer, *sources_of(facts, transfer)), how, answer.name,
                    cites=(facts.cite("standby_capacity"),), missing=answer.missing,
                    step=answer.asked if outcome is not Outcome.NOT_APPLICABLE else None, remedy=remedy,
                    asked=asked, given=given)  # fmt: skip
