"""The sender's contact and the receiver's voltage go together, or an isolation relay stands between them."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Signal
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

ID = "signal.voltage"
IDS = (ID,)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One for each signal that goes by wires."""
    for signal in facts.at.house.signals:
        if not signal.over_network:
            outcome, how, missing, step = _judged(facts, signal)
            limit = facts.fact(f"{signal.id}/contact", "signal.step.contact", signal, "contact_volts")
            yield from tell(ID, signal.id, outcome, facts.reach_of(signal), how, facts.name_of(signal),
                            cites=(facts.cite("listing_and_instructions"),), missing=missing, step=step,
                            limit=limit.value)  # fmt: skip


def _judged(facts: SourceFacts, signal: Signal) -> tuple[Outcome, str, tuple[Missing, ...], Step | None]:
    if signal.relay:
        return Outcome.MEETS, "relay", (), None
    lacking = facts.missing(signal, "over_network", "relay", "voltage_free", "receiver_volts", "contact_volts")
    volts = facts.fact(f"{signal.id}/receiver", "signal.step.receiver", signal, "receiver_volts")
    if signal.voltage_free is False and signal.relay is False:
        if signal.receiver_volts:
            return Outcome.FAILS, "both", (), volts
        return Outcome.CANNOT_TELL, "sender", (facts.lack(signal, "relay"),), volts
    if lacking:
        return Outcome.CANNOT_TELL, "cannot_tell", lacking, volts
    rated = facts.fact(f"{signal.id}/contact", "signal.step.contact", signal, "contact_volts")
    outcome = at_most(volts.value, rated.value)
    return outcome, "meets" if outcome is Outcome.MEETS else "fails", (), volts
