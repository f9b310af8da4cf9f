"""An engine-start signal has power, or does without, when the utility is lost: that is when it must act."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Signal
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.signals.answer import signal_answers
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.missing import Missing

ID = "signal.supply"
IDS = (ID,)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One for each signal that starts an engine."""
    for signal in facts.at.house.signals:
        if signal.purpose == "engine start":
            outcome, how = _judged(facts, signal)
            yield from tell(ID, signal.id, outcome, facts.reach_of(signal), how, facts.name_of(signal),
                            cites=(facts.cite("listing_and_instructions"),),
                            missing=_missing(facts, signal))  # fmt: skip


def _missing(facts: SourceFacts, signal: Signal) -> tuple[Missing, ...]:
    """Where its power comes from, and what its truth table waits for."""
    answer = next(each for each in signal_answers(facts) if each.signal == signal.id)
    table = tuple(m for m in answer.missing if not m.path.endswith(".supervised"))
    return (*facts.missing(signal, "powered_by"), *table)


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
