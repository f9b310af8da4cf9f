"""The commissioning answer as plain data for other programs: tests, torque log, sequence, corrections."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Literal

from pydantic import Field

from deadfront.app.told import OutcomeWord, Place, Plain, Range, places_of, range_of
from deadfront.documents.catalog import Catalog
from deadfront.msg import Msg
from deadfront.results.commissioning import CommissioningResult, CorrectionAnswer, TestAnswer, TorqueAnswer


class ReadingTold(Plain):
    """One reading of a test, as typed."""

    key: str
    name: str
    unit: str = Field(description="Unit it is asked in; empty for none")
    typed: str = Field(description="Empty where nothing was typed")
    trouble: str = Field(description="What is wrong with what was typed; empty for nothing")


class TestTold(Plain):
    """One test of one thing at one stage."""

    __test__ = False

    test: str
    thing: str
    name: str
    stage: Literal["as found", "as left"]
    record: str = Field(description="Id of its record; empty where it is not done")
    outcome: OutcomeWord
    severity: Literal["danger", "correct", "note"]
    say: str
    limit: str = Field(description="The limit in words with its origin; empty for none")
    readings: list[ReadingTold]
    instruments: list[str]
    who: str
    on: date | None
    time: str
    photo: str
    reason: str = Field(description="Why it does not apply; empty where it does")
    notes: list[str] = Field(description="Doubts on instrument, day, photo")
    missing: list[str] = Field(description="Paths of what a verdict waits for")
    places: list[Place]


class TerminalTold(Plain):
    """One terminal of the torque log."""

    id: str = Field(description="Empty where it is still to be entered")
    thing: str
    name: str
    terminal: str
    target_lbf_in: Range | None
    applied_lbf_in: Range | None
    outcome: OutcomeWord
    say: str
    tool: str
    who: str
    on: date | None
    photo: str
    notes: list[str]
    missing: list[str]
    places: list[Place]


class StepTold(Plain):
    """One step of the energizing sequence."""

    key: str
    say: str
    state: str
    stop: str = Field(description="When to stop")


class CorrectionTold(Plain):
    """One item of an inspector's notice."""

    id: str
    given_on: date | None
    section: str
    asks: str
    thing: str
    outcome: OutcomeWord
    done: str
    who: str
    on: date | None
    photo: str


class CommissioningTold(Plain):
    """What was measured, tightened and asked for after the work."""

    tests: list[TestTold]
    torque: list[TerminalTold]
    sequence: list[StepTold]
    corrections: list[CorrectionTold]


def told_commissioning(result: CommissioningResult, catalog: Catalog) -> CommissioningTold:
    """The commissioning answer as data, by the schema."""
    return CommissioningTold(
        tests=[_test(each, catalog) for each in result.tests], torque=[_terminal(e, catalog) for e in result.torques],
        sequence=[StepTold(key=each.key, say=catalog.key(f"commission.sequence.{each.key}"), state=each.state,
                           stop=catalog.say(each.stop)) for each in result.sequence],
        corrections=[_correction(each) for each in result.corrections],
    )  # fmt: skip


def _said(messages: Iterable[Msg], catalog: Catalog) -> list[str]:
    return [catalog.say(each) for each in messages]


def _test(each: TestAnswer, catalog: Catalog) -> TestTold:
    readings = [
        ReadingTold(key=one.key, name=catalog.key(f"commission.reading.{one.key}"), unit=one.unit, typed=one.typed,
                    trouble=catalog.say(one.trouble) if one.trouble else "") for one in each.readings
    ]  # fmt: skip
    return TestTold(
        test=each.test, thing=each.thing, name=catalog.say(each.name),
        stage="as found" if each.stage == "as found" else "as left", record=each.record, outcome=each.outcome.value,
        severity=each.severity.value, say=catalog.say(each.say), limit=catalog.say(each.limit) if each.limit else "",
        readings=readings, instruments=list(each.instruments), who=each.who, on=each.on, time=each.time,
        photo=each.photo, reason=each.reason, notes=_said(each.notes, catalog),
        missing=[fact.path for fact in each.missing], places=places_of(each.cites),
    )  # fmt: skip


def _terminal(each: TorqueAnswer, catalog: Catalog) -> TerminalTold:
    return TerminalTold(
        id=each.id, thing=each.thing, name=catalog.say(each.name), terminal=each.terminal,
        target_lbf_in=range_of(each.target), applied_lbf_in=range_of(each.applied), outcome=each.outcome.value,
        say=catalog.say(each.say), tool=each.tool, who=each.who, on=each.on, photo=each.photo,
        notes=_said(each.notes, catalog), missing=[fact.path for fact in each.missing], places=places_of(each.cites),
    )  # fmt: skip


def _correction(each: CorrectionAnswer) -> CorrectionTold:
    return CorrectionTold(
        id=each.id, given_on=each.given_on, section=each.section, asks=each.asks, thing=each.thing,
        outcome=each.outcome.value, done=each.done, who=each.who, on=each.on, photo=each.photo,
    )  # fmt: skip
