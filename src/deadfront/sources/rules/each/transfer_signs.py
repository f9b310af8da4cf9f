"""The sign where a standby source could lose its ground; the way of a separate system to the electrodes."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.sources.rules.transfer.neutral import neutral_answers
from deadfront.sources.rules.transfer.wiring import standby
from deadfront.worksheet.check import Check, Outcome

BOND, ELECTRODE = "transfer.bonding_sign", "transfer.system_ground"
IDS = (BOND, ELECTRODE)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Facts that are seen: the sign where a ground could be lost, the conductor to the electrodes."""
    for source in standby(facts):
        derived = {each.derived for each in neutral_answers(facts) if each.source == source.id}
        if derived == {False}:
            yield from _seen(facts, source, BOND, "bonding_sign", "standby_sign")
        if True in derived and not source.portable and source.kind != "inlet":
            yield from _seen(facts, source, ELECTRODE, "system_grounded", "separately_derived")


def _seen(facts: SourceFacts, source: Source, ident: str, name: str, rule: str) -> Iterator[Check]:
    value = getattr(source, name)
    outcome = Outcome.CANNOT_TELL if value is None else Outcome.MEETS if value else Outcome.FAILS
    yield from tell(ident, source.id, outcome, facts.reach_of(source), outcome.name.lower(), facts.name_of(source),
                    cites=(facts.cite(rule),), missing=facts.missing(source, name))  # fmt: skip
