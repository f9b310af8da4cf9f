"""Commissioning answered: every test due and recorded, the torque log, the sequence, the findings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, cast

from deadfront.commissioning.rules.corrections import correction_checks, corrections_of
from deadfront.commissioning.rules.facts import FOUND, LEFT, Facts
from deadfront.commissioning.rules.instruments import doubts
from deadfront.commissioning.rules.reading import Reading, scales, understood
from deadfront.commissioning.rules.registry import Module, modules
from deadfront.commissioning.rules.sequence import sequence_of
from deadfront.commissioning.rules.test_kind import TestKind, Verdict, words_of
from deadfront.commissioning.rules.torque import torque_log
from deadfront.errors import NotFound
from deadfront.job.record_things import Instrument, Record
from deadfront.msg import Msg, said
from deadfront.results.commissioning import CommissioningResult, ReadingAnswer, TestAnswer, TorqueAnswer
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing

STAGES = (LEFT, FOUND)
LEAST_REASON = 6  # letters of a reason
STEP = "ct_step"
"""A load step of the walk along the current transformers: judged by the metering stage, no test of its own."""


def commissioning_answer(facts: Facts) -> CommissioningResult:
    """Every test of a house: those due, done or not, and those that were done besides."""
    tests = _in_time(tuple(_tests(facts)))
    torques = torque_log(facts)
    items = corrections_of(facts)
    checks = (*_checks(tests), *_torque_checks(torques), *_strays(facts), *correction_checks(items))
    return CommissioningResult(tests, torques, sequence_of(tests, torques), checks, items)


def _in_time(tests: tuple[TestAnswer, ...]) -> tuple[TestAnswer, ...]:
    """A pass that was taken before a test which comes first was made anew is none: it is to be taken again."""
    latest: dict[str, tuple[str, str]] = {}
    for each in tests:
        if each.stage == LEFT and each.on is not None and each.time:
            taken = (each.on.isoformat(), each.time)
            latest[each.test] = max(taken, latest.get(each.test, taken))
    return tuple(_again(each, latest) for each in tests)


@lru_cache(maxsize=256)
def _all_before(test: str) -> tuple[str, ...]:
    """Every test that comes before one, and before these."""
    direct = {module.kind.key: module.kind.before for module in modules()}
    found: dict[str, None] = {}
    wait = list(direct.get(test, ()))
    while wait:
        each = wait.pop()
        if each not in found:
            found[each] = None
            wait += direct.get(each, ())
    return tuple(found)


def _again(answer: TestAnswer, latest: Mapping[str, tuple[str, str]]) -> TestAnswer:
    if answer.outcome is not Outcome.MEETS or answer.stage != LEFT or answer.on is None or not answer.time:
        return answer
    taken = (answer.on.isoformat(), answer.time)
    later = next((test for test in _all_before(answer.test) if latest.get(test, taken) > taken), None)
    if later is None:
        return answer
    say = said("commission.again", name=answer.name, test=said(f"commission.test.{later}"))
    missing = (_wanted(answer.path, answer.test, answer.name),)
    return replace(answer, outcome=Outcome.CANNOT_TELL, say=say, missing=missing)


def judged(facts: Facts, record: Record, stage: str) -> TestAnswer:
    """One record judged by itself, kept or only typed so far.

    Raises:
        NotFound: no such test.
    """
    module = next((each for each in modules() if each.kind.key == record.test), None)
    if module is None:
        raise NotFound("commission.no_test", test=record.test, allowed=tuple(each.kind.key for each in modules()))
    thing = record.thing or ""
    return _judged(facts, module, record, thing, stage, facts.name_of(thing))


def _tests(facts: Facts) -> Iterator[TestAnswer]:
    for stage in STAGES:
        for module in modules():
            asked = dict.fromkeys(module.due(facts)) if _asked(facts, module, stage) else {}
            for thing in asked:
                yield _answer(facts, module, thing, stage)
            for (test, thing, when), records in facts.records_of.items():
                if test == module.kind.key and when == stage and thing not in asked and records:
                    yield _answer(facts, module, thing, stage)


def _asked(facts: Facts, module: Module, stage: str) -> bool:
    """As left where there is work, all but what is looked at before it; as found what is asked before it."""
    if stage == FOUND:
        return module.kind.found
    return facts.works and module.kind.key != "as_found"


def _answer(facts: Facts, module: Module, thing: str, stage: str) -> TestAnswer:
    kind, name = module.kind, facts.name_of(thing)
    records = facts.records_of.get((kind.key, thing, stage), ())
    record = records[-1] if records else None
    if record is None:
        missing = (_wanted(f"record/{kind.key}/{thing}", kind.key, name),)
        return TestAnswer(kind.key, thing, name, stage, "", "", Outcome.CANNOT_TELL, Severity.CORRECT,
                          said("commission.open", name=name), None,
                          tuple(_shown(Reading(each)) for each in kind.asked), missing=missing,
                          cautions=kind.cautions, before=kind.before)  # fmt: skip
    return _judged(facts, module, record, thing, stage, name)


def _wanted(path: str, test: str, name: Msg) -> Missing:
    return Missing(path, said("todo.commission.test", test=said(f"commission.test.{test}"), thing=name),
                   said("todo.how.commission.test"))  # fmt: skip


def _judged(
    facts: Facts, module: Module, record: Record, thing: str, stage: str, name: Msg
) -> TestAnswer:  # fmt: skip
    """A record judged; one that nothing else of the house bears on is worked out once, however often it is shown."""
    if not module.kind.alone:
        return _worked_out(facts, module, record, thing, stage, name)
    tools = tuple(_Same(facts.instruments[each]) for each in record.instruments if each in facts.instruments)
    path = facts.at.path(record, "")
    return _kept(_Same(record), thing, stage, name, path, facts.wye, tools)


@dataclass(frozen=True, slots=True, eq=False)
class _Same:
    """A thing that is the same only where it is that very one: the blocks of a job that did not change are."""

    thing: Any

    def __hash__(self) -> int:
        return id(self.thing)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.thing is other.thing


@dataclass(frozen=True)
class _Alone:
    """All that a test judged alone may ask of a house."""

    wye: bool | None
    instruments: Mapping[str, Instrument]
    place: str

    @property
    def at(self) -> _Alone:
        """Stands for the house: all it may be asked is where the record stands."""
        return self

    def path(self, _: Record, name: str) -> str:
        """Where a fact of the record stands in the job."""
        return self.place + name


@lru_cache(maxsize=4096)
def _kept(
    record: _Same, thing: str, stage: str, name: Msg, place: str, wye: bool | None, tools: tuple[_Same, ...]
) -> TestAnswer:  # fmt: skip
    module = next(each for each in modules() if each.kind.key == record.thing.test)
    alone = _Alone(wye, {each.thing.id: each.thing for each in tools}, place)
    return _worked_out(cast(Facts, alone), module, record.thing, thing, stage, name)


def _worked_out(
    facts: Facts, module: Module, record: Record, thing: str, stage: str, name: Msg
) -> TestAnswer:  # fmt: skip
    kind = module.kind
    readings = {each.key: understood(each, record.readings.get(each.key, "")) for each in kind.asked}
    path = facts.at.path(record, "readings")
    notes = [said("commission.doubt.stray_reading", key=key) for key in record.readings if key not in readings]
    for name_missing in ("who", "on"):
        if getattr(record, name_missing) is None:
            notes.append(said(f"commission.doubt.no_{name_missing}"))
    lacks = [each for each in kind.asked if each.needed and not readings[each.key].typed]
    trouble = [each for each in readings.values() if each.trouble]
    missing: tuple[Missing, ...] = ()
    limits: Msg | None = None
    alarm = module.alarm(facts, thing, readings) if module.alarm else None
    if alarm is not None:  # what endangers is said, whatever else is missing, mistyped or waived
        verdict, say, limits = alarm, words_of(kind.key, alarm, name), _limits(alarm)
    elif record.not_applicable and _may_be_waived(kind, record):
        verdict = Verdict(Outcome.NOT_APPLICABLE, "not_applicable")
        say = said("commission.not_applicable", name=name, reason=record.not_applicable)
    elif record.not_applicable:
        verdict = Verdict(Outcome.CANNOT_TELL, "waived")
        say = said("commission.not_waived" if not kind.waived else "commission.waived_by_nobody", name=name)
        missing = (_wanted(path, kind.key, name),)
    elif trouble:
        verdict = Verdict(Outcome.CANNOT_TELL, "trouble")
        say = said("commission.trouble", name=name, reading=said(f"commission.reading.{trouble[0].asked.key}"),
                   typed=trouble[0].typed)  # fmt: skip
        missing = tuple(_reading_wanted(path, each.asked.key, name) for each in trouble)
    elif lacks:
        verdict = Verdict(Outcome.CANNOT_TELL, "lacks")
        say = said("commission.lacks", name=name, readings=tuple(said(f"commission.reading.{e.key}") for e in lacks))
        missing = tuple(_reading_wanted(path, each.key, name) for each in lacks)
    else:
        verdict = module.judge(facts, thing, readings)
        say = words_of(kind.key, verdict, name)
        limits = _limits(verdict)
        if verdict.outcome is Outcome.CANNOT_TELL:
            missing = (_wanted(path, kind.key, name),)
        verdict, say, missing = _with_doubts(facts, module, record, verdict, say, missing, notes, name)
    return TestAnswer(
        kind.key, thing, name, stage, record.id, path, verdict.outcome, verdict.severity, say, limits,
        tuple(_shown(each) for each in readings.values()), verdict.steps, tuple(notes), missing,
        (*verdict.cites, *_cites(verdict)), _remedy(kind.key, verdict), kind.cautions, kind.before,
        record.who or "", record.on, record.time or "", record.photo or "", record.not_applicable or "",
        record.instruments,
    )  # fmt: skip


def _may_be_waived(kind: TestKind, record: Record) -> bool:
    """Whether a test may be said not to apply: by somebody, on a day, for a reason that says something."""
    reason = record.not_applicable or ""
    return kind.waived and record.who is not None and record.on is not None and len(reason) >= LEAST_REASON


def _with_doubts(
    facts: Facts, module: Module, record: Record, verdict: Verdict, say: Msg, missing: tuple[Missing, ...],
    notes: list[Msg], name: Msg,
) -> tuple[Verdict, Msg, tuple[Missing, ...]]:  # fmt: skip
    """A pass on an instrument that does not count, or without the photo asked for, is none; a failure stays one."""
    bars = record.who is None or record.on is None
    for note, bar in doubts(facts, module.kind, record):
        notes.append(note)
        bars = bars or bar
    if module.kind.photo and not record.photo:
        notes.append(said("commission.doubt.no_photo"))
        bars = True
    if not (bars and verdict.outcome is Outcome.MEETS):
        return verdict, say, missing
    path = facts.at.path(record, "instruments")
    wanted = Missing(path, said("todo.commission.instrument", thing=name), said("todo.how.commission.instrument"))
    held = Verdict(Outcome.CANNOT_TELL, "doubt", steps=verdict.steps, limits=verdict.limits, cites=verdict.cites)
    return held, said("commission.doubted", name=name), (wanted,)


def _reading_wanted(path: str, key: str, name: Msg) -> Missing:
    what = said("todo.commission.reading", reading=said(f"commission.reading.{key}"), thing=name)
    return Missing(f"{path}.{key}", what, said("todo.how.commission.reading"))


def _shown(reading: Reading) -> ReadingAnswer:
    asked = reading.asked
    trouble = None
    if reading.trouble:
        allowed: object = asked.choices or tuple(scales(asked.unit)) or ""
        trouble = said(f"commission.trouble_of.{reading.trouble}", typed=reading.typed, allowed=allowed,
                       unit=asked.unit, low=asked.low, high=asked.high)  # fmt: skip
    return ReadingAnswer(asked.key, asked.unit, asked.kind, asked.needed, reading.typed, asked.choices, trouble)


def _limits(verdict: Verdict) -> Msg | None:
    """The limits with their origin, in words."""
    if not verdict.limits:
        return None
    each = tuple(said(f"commission.origin.{one.origin}", limit=said(f"commission.limit.{one.key}"), value=one.value,
                      unit=one.unit) for one in dict.fromkeys(verdict.limits))  # fmt: skip
    return said("commission.limits", limits=each)


def _cites(verdict: Verdict) -> tuple[Cite, ...]:
    return tuple(dict.fromkeys(cite for each in verdict.limits for cite in each.cites))


def _remedy(test: str, verdict: Verdict) -> Msg | None:
    if verdict.outcome is not Outcome.FAILS:
        return None
    return said(f"remedy.commission.{test}.{verdict.remedy or verdict.which}")


def _checks(tests: tuple[TestAnswer, ...]) -> Iterator[Check]:
    """A finding for each test that found something wrong; what is still open stands on its own sheet."""
    for each in tests:
        if each.outcome is Outcome.FAILS:
            reach = Reach.NEW if each.stage == LEFT else Reach.EXISTING
            yield Check(f"commission.{each.test}", each.thing, each.outcome, each.severity, each.say, reach,
                        each.steps[0] if each.steps else None, (), each.cites, each.remedy)  # fmt: skip


def _torque_checks(torques: tuple[TorqueAnswer, ...]) -> Iterator[Check]:
    for each in torques:
        if each.outcome is Outcome.FAILS:
            yield Check("commission.torque", each.thing, each.outcome, each.severity, each.say, Reach.NEW,
                        each.applied, (), each.cites, said("remedy.commission.torque"))  # fmt: skip


def _strays(facts: Facts) -> Iterator[Check]:
    """Records of a test that is none, or of a thing that is not there."""
    kinds = {module.kind.key for module in modules()} | {STEP}
    for record in facts.at.house.records:
        gone = record.thing not in ("service", "house", None) and record.thing not in facts.things
        if record.test not in kinds or record.thing is None or (gone and record.thing not in facts.at.removed):
            key = "unknown_test" if record.test not in kinds else "no_thing"
            yield Check("commission.record", record.id, Outcome.FAILS, Severity.NOTE,
                        said(f"check.commission.record.{key}", id=record.id, test=record.test), Reach.WHOLE_JOB,
                        remedy=said("remedy.commission.record"))  # fmt: skip
