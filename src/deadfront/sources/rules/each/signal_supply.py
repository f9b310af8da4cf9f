"""An engine-start signal has power, or does without, when the utility is lost: that is when it must act."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Signal
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.signals.answer import signal_answers
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome

ID = "signal.supply"
IDS = (ID,)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One for each signal that starts an engine."""
    for signal in facts.at.house.signals:
        if signal.purpose == "engine start":
            outcome, how = _judged(facts, signal)
            yield from tell(ID, signal.id, outcome, facts.reach_of(signal), how, facts.name_of(signal),
                            cites=(facts.cite("listing_and_instructions"),),
                            missing=facts.missing(signal, "powered_by", "rests", "on_loss" if signal.over_network else
                                                  "relay"))  # fmt: skip


def _judged(facts: SourceFacts, signal: Signal) -> tuple[Outcome, str]:
    """Its own supply: a source's, or a circuit's, which is dead until a source runs."""
    if signal.powered_by in facts.sources:
        return Outcome.MEETS, "source"
    answer = next(each for each in signal_answers(facts) if each.signal == signal.id)
    lost = next(row for row in answer.rows if row.event == "lost supply")
    if lost.receiver == "acts":
        return Outcome.MEETS, "without"
    if signal.powered_by is None or lost.receiver == "unknown":
        return Outcome.CANNOT_TELL, "cannot_tell"
    return Outcome.FAILS, "fails"
