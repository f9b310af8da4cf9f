"""A signal acts as it is meant to, and its loss is safe for its purpose."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.results.transfer import SignalAnswer, SignalRow
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.signals.answer import event_name, signal_answers
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

SENSE, LOSS, WELD = "signal.sense", "signal.fail_safe", "signal.welded"
IDS = (SENSE, LOSS, WELD)
STOPS = ("emergency stop", "rapid shutdown")


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Three for each signal: its sense, the loss of it, the contact that never opens."""
    for answer in signal_answers(facts):
        rows = {row.event: row for row in answer.rows}
        yield from _check(facts, answer, SENSE, tuple(r for e, r in rows.items() if e in ("normal", "acting")))
        weld = rows.get("welded contact")
        lost = tuple(r for e, r in rows.items() if e not in ("normal", "acting", "welded contact"))
        yield from _check(facts, answer, LOSS, lost)
        if weld is not None and weld.outcome is Outcome.FAILS:
            yield from _check(facts, answer, WELD, (weld,))


def _check(facts: SourceFacts, answer: SignalAnswer, ident: str, rows: tuple[SignalRow, ...]) -> Iterator[Check]:
    signal = next(each for each in facts.at.house.signals if each.id == answer.signal)
    told = {row.outcome for row in rows}
    order = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS, Outcome.NOT_APPLICABLE)
    outcome = next(each for each in order if each in told)
    bad = tuple(event_name(row.event) for row in rows if row.outcome is outcome)
    how = outcome.name.lower()
    if ident == LOSS and outcome is Outcome.FAILS and answer.purpose == "engine start":
        how = "silent"
    yield from tell(ident, answer.signal, outcome, facts.reach_of(signal), how, answer.name,
                    cites=(facts.cite("listing_and_instructions"),), severity=_severity(ident, answer.purpose),
                    hazard=answer.purpose in STOPS, missing=_missing(ident, answer), events=bad)  # fmt: skip


def _missing(ident: str, answer: SignalAnswer) -> tuple[Missing, ...]:
    """What a check waits for: the sense waits neither for the contact at rest nor for an alarm."""
    return tuple(
        m for m in answer.missing if ident != SENSE or not m.path.endswith((".rests", ".supervised", ".on_loss"))
    )


def _severity(ident: str, purpose: str) -> Severity:
    if ident == WELD or (ident == LOSS and purpose == "engine start"):
        return Severity.NOTE
    return Severity.DANGER if purpose in STOPS else Severity.CORRECT
