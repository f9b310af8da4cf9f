"""What commissioning answers: every test due with its verdict, the torque log, the energizing sequence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from deadfront.msg import Msg
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


@dataclass(frozen=True, slots=True)
class ReadingAnswer:
    """One reading of a test.

    Args:
        key: Its name in the record.
        unit: Unit it is asked in; "" for none.
        kind: "number", "yes", "choice" or "text".
        needed: Without it there is no verdict.
        typed: As typed; "" where nothing was.
        choices: What a choice may be.
        trouble: What is wrong with what was typed; None where nothing is.
    """

    key: str
    unit: str
    kind: str
    needed: bool
    typed: str = ""
    choices: tuple[str, ...] = ()
    trouble: Msg | None = None


@dataclass(frozen=True, slots=True)
class TestAnswer:
    """One test of one thing at one stage.

    Args:
        test: Which test.
        thing: Id of the thing tested, "service" or "house".
        name: What that is called.
        stage: "as found" or "as left".
        record: Id of its record; "" where there is none yet.
        path: Where its record stands in the job; "" where there is none.
        outcome: Its verdict: open is cannot tell.
        severity: How bad, if it does not meet.
        say: The verdict in words, with the figure.
        limit: The limit in words, with its origin; None where the test has none.
        readings: What is read, in order.
        steps: Figures that the verdict rests on.
        notes: Doubts on instrument, date, photo; none of them makes a pass.
        missing: What a verdict waits for.
        cites: Where the limit stands.
        remedy: What to do where it does not meet.
        cautions: Keys of the cautions that belong to it.
        before: Tests that come first.
        who, on, time, photo, reason: As recorded; reason: why it does not apply.
    """

    test: str
    thing: str
    name: Msg
    stage: str
    record: str
    path: str
    outcome: Outcome
    severity: Severity
    say: Msg
    limit: Msg | None = None
    readings: tuple[ReadingAnswer, ...] = ()
    steps: tuple[Step, ...] = ()
    notes: tuple[Msg, ...] = ()
    missing: tuple[Missing, ...] = ()
    cites: tuple[Cite, ...] = ()
    remedy: Msg | None = None
    cautions: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    who: str = ""
    on: date | None = None
    time: str = ""
    photo: str = ""
    reason: str = ""
    instruments: tuple[str, ...] = ()

    @property
    def is_open(self) -> bool:
        """Still to be done, or done without what a verdict needs."""
        return self.outcome is Outcome.CANNOT_TELL


@dataclass(frozen=True, slots=True)
class TorqueAnswer:
    """One terminal of the torque log.

    Args:
        id: Id of its entry; "" for a terminal still to be entered.
        thing: Thing it belongs to.
        name: What that is called.
        terminal: Which terminal.
        target: Torque it asks for [lbf-in]; None where not known.
        applied: Setting that clicked [lbf-in]; None where not entered.
        outcome, severity, say, notes, missing, cites: As in TestAnswer.
    """

    id: str
    thing: str
    name: Msg
    terminal: str
    target: Step | None
    applied: Step | None
    outcome: Outcome
    severity: Severity
    say: Msg
    notes: tuple[Msg, ...] = ()
    missing: tuple[Missing, ...] = ()
    cites: tuple[Cite, ...] = ()
    who: str = ""
    on: date | None = None
    tool: str = ""
    photo: str = ""


@dataclass(frozen=True, slots=True)
class CorrectionAnswer:
    """One item of an inspector's correction notice.

    Args:
        id: Id of its entry.
        given_on, section, asks, thing: As the notice says.
        name: What the thing is called; None where none is named.
        outcome: Does not meet until something was done; cannot tell until that is proved.
        say: It in words.
        missing: What its proof still lacks.
        done, who, on, photo: As answered.
    """

    id: str
    given_on: date | None
    section: str
    asks: str
    thing: str
    name: Msg | None
    outcome: Outcome
    say: Msg
    missing: tuple[Missing, ...] = ()
    done: str = ""
    who: str = ""
    on: date | None = None
    photo: str = ""


@dataclass(frozen=True, slots=True)
class SequenceStep:
    """One step of the energizing sequence.

    Args:
        key: Which step.
        tests: Tests it stands on, as (test, thing).
        state: "done", "next", "waits" or "stopped".
        stop: When to stop, in words.
    """

    key: str
    tests: tuple[tuple[str, str], ...]
    state: str
    stop: Msg


@dataclass(frozen=True, slots=True)
class CommissioningResult:
    """Every test due and done.

    Args:
        tests: Tests as left, in the order they are walked, then those as found.
        torques: The torque log.
        sequence: The energizing sequence.
        checks: Findings: what a test found wrong, records that fit nothing, corrections.
        corrections: Items of an inspector's notice.
    """

    tests: tuple[TestAnswer, ...] = ()
    torques: tuple[TorqueAnswer, ...] = ()
    sequence: tuple[SequenceStep, ...] = ()
    checks: tuple[Check, ...] = ()
    corrections: tuple[CorrectionAnswer, ...] = ()

    def of(self, test: str, thing: str = "", stage: str = "as left") -> tuple[TestAnswer, ...]:
        """Answers of one test, of one thing where named."""
        return tuple(each for each in self.tests
                     if each.test == test and each.stage == stage and thing in ("", each.thing))  # fmt: skip
