"""Every control signal with its truth table and the verdict for its purpose."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Signal
from deadfront.msg import Msg, said
from deadfront.results.transfer import Acts, Event, SignalAnswer, SignalRow
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.signals.truth import Wiring, events, receiver_does
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing

MUST_ACT = ("shed load", "inhibit transfer", "emergency stop", "rapid shutdown")
"""Purposes for which the loss of the signal must do what the signal does."""
WORST = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS)
_OF = {"closes to act": True, "opens to act": False, "closed to act": True, "open to act": False, "closed": True,
       "open": False, "same sense": True, "opposite sense": False}  # fmt: skip


def signal_answers(facts: SourceFacts) -> tuple[SignalAnswer, ...]:
    """One answer for each signal."""
    return facts.once(_answers)


def wiring_of(signal: Signal) -> Wiring:
    """The facts of a signal that its truth table hangs on."""
    return Wiring(
        _OF.get(signal.acts or ""), _OF.get(signal.expects or ""), _OF.get(signal.rests or ""), signal.relay,
        _OF.get(signal.relay_sense or ""), signal.over_network, signal.on_loss,
    )  # fmt: skip


def _answers(facts: SourceFacts) -> tuple[SignalAnswer, ...]:
    return tuple(_answer(facts, each) for each in facts.at.house.signals)


def _answer(facts: SourceFacts, signal: Signal) -> SignalAnswer:
    wiring = wiring_of(signal)
    rows = tuple(_row(signal, event, receiver_does(wiring, event)) for event in events(wiring))
    told = {row.outcome for row in rows if row.event != "welded contact"}
    outcome = next((each for each in WORST if each in told), Outcome.NOT_APPLICABLE)
    missing = tuple(_missing(facts, signal)) if Outcome.CANNOT_TELL in {row.outcome for row in rows} else ()
    return SignalAnswer(signal.id, facts.name_of(signal), signal.purpose, rows, outcome, signal.loads, missing)


def _row(signal: Signal, event: Event, does: Acts) -> SignalRow:
    outcome, why = _verdict(signal, event, does)
    return SignalRow(event, does, outcome, said(f"signal.why.{why}"))


def _verdict(signal: Signal, event: Event, does: Acts) -> tuple[Outcome, str]:
    """Whether what the receiver does is right for the purpose, and why."""
    if does == "unknown":
        return Outcome.CANNOT_TELL, "unknown"
    if event in ("normal", "acting"):
        right = does == ("rests" if event == "normal" else "acts")
        return (Outcome.MEETS, "as_meant") if right else (Outcome.FAILS, f"wrong_{event}")
    if signal.purpose in MUST_ACT:
        if does == "acts":
            return Outcome.MEETS, "acts"
        key = signal.purpose.replace(" ", "_")
        return Outcome.FAILS, "welded" if event == "welded contact" else f"{key}_{does}"
    if signal.purpose == "engine start":
        return _engine_start(signal, event, does)
    return Outcome.NOT_APPLICABLE, "no_demand"


def _engine_start(signal: Signal, event: Event, does: Acts) -> tuple[Outcome, str]:
    """A lost start signal must not be silent: the engine runs, or an alarm tells."""
    if does == "acts":
        return Outcome.MEETS, "engine_runs"
    if signal.supervised:
        return Outcome.MEETS, "alarm"
    if signal.supervised is None:
        return Outcome.CANNOT_TELL, "alarm_unknown"
    return Outcome.FAILS, "welded" if event == "welded contact" else "silent"


def _missing(facts: SourceFacts, signal: Signal) -> Iterator[Missing]:
    """The facts that the truth table waits for."""
    yield from facts.missing(signal, "over_network")
    if signal.over_network:
        yield from facts.missing(signal, "on_loss")
    else:
        yield from facts.missing(signal, "acts", "expects", "rests", "relay")
        if signal.relay:
            yield from facts.missing(signal, "relay_sense")
    if signal.purpose == "engine start":
        yield from facts.missing(signal, "supervised")


def event_name(event: Event) -> Msg:
    """An event in words."""
    return said(f"signal.event.{event.replace(' ', '_')}")
