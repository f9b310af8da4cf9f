"""The circuits answer as plain data for other programs: runs, drops, faults, grounding, the site list."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from deadfront.app.told import OutcomeWord, Place, Plain, Range, places_of, range_of
from deadfront.documents.catalog import Catalog
from deadfront.results.circuits import CircuitsResult, FaultPoint, Question, Required, Run, Sized


class SizedTold(Plain):
    """A conductor that a rule asks for or allows."""

    size: str
    metal: str
    sets: int


class RunTold(Plain):
    """One branch circuit, feeder or service."""

    of: str = Field(description='Id of the circuit, of the panel a feeder feeds, or "service"')
    kind: Literal["circuit", "feeder", "service"]
    name: str
    breaker: str
    reach: str = Field(description="What the work does with it")
    load_a: Range | None = Field(description="Current of the load on it [A]")
    least_a: Range | None = Field(description="What conductor and breaker must be good for [A]")
    rating_a: Range | None = Field(description="Rating of its breaker [A]")
    ampacity_a: Range | None = Field(description="What the conductors in place may carry [A]")
    breaker_least_a: Range | None
    breaker_most_a: Range | None
    smallest: list[SizedTold]
    ground: list[SizedTold]
    drop_percent: Range | None = Field(description="Voltage drop along it at its load [%]")
    drop_all_percent: Range | None = Field(description="The same from the transformer [%]")


class FaultTold(Plain):
    """Available fault current at one place."""

    of: str
    name: str
    line_to_line_a: Range | None
    line_to_neutral_a: Range | None
    largest_a: Range | None = Field(description="What devices must interrupt [A]")
    smallest_a: Range | None = Field(description="What must still trip a breaker [A]")


class RequiredTold(Plain):
    """One conductor of grounding or bonding."""

    subject: str
    of: str
    name: str
    smallest: list[SizedTold]
    found: str
    outcome: OutcomeWord
    asked: bool
    places: list[Place]


class QuestionTold(Plain):
    """One question of the site list."""

    key: str
    of: str
    path: str
    say: str
    answer: str
    wanted: str
    outcome: OutcomeWord
    reach: str
    places: list[Place]


class CircuitsTold(Plain):
    """Circuits, service, grounding, faults and protection; their checks stand with the others."""

    runs: list[RunTold]
    faults: list[FaultTold]
    grounding: list[RequiredTold]
    questions: list[QuestionTold]


def _sized(found: tuple[Sized, ...]) -> list[SizedTold]:
    return [SizedTold(size=each.size, metal=each.metal, sets=each.sets) for each in found]


def _run(run: Run, result: CircuitsResult, catalog: Catalog) -> RunTold:
    drop = next((each for each in result.drops if each.of == run.of), None)
    return RunTold(
        of=run.of, kind=run.kind, name=catalog.say(run.name), breaker=run.breaker, reach=run.reach.value,
        load_a=range_of(run.load), least_a=range_of(run.least), rating_a=range_of(run.rating),
        ampacity_a=range_of(run.ampacity), breaker_least_a=range_of(run.breaker_least),
        breaker_most_a=range_of(run.breaker_most), smallest=_sized(run.smallest), ground=_sized(run.ground),
        drop_percent=range_of(drop.here if drop else None),
        drop_all_percent=range_of(drop.all_along if drop else None),
    )  # fmt: skip


def _fault(at: FaultPoint, catalog: Catalog) -> FaultTold:
    return FaultTold(
        of=at.of, name=catalog.say(at.name), line_to_line_a=range_of(at.line_to_line),
        line_to_neutral_a=range_of(at.line_to_neutral), largest_a=range_of(at.largest),
        smallest_a=range_of(at.smallest),
    )  # fmt: skip


def _required(line: Required, catalog: Catalog) -> RequiredTold:
    cites = [cite for each in line.smallest for cite in each.step.all_cites()]
    return RequiredTold(
        subject=line.subject, of=line.of, name=catalog.say(line.name), smallest=_sized(line.smallest),
        found=line.found, outcome=line.outcome.value, asked=line.asked, places=places_of(dict.fromkeys(cites)),
    )  # fmt: skip


def _question(q: Question, catalog: Catalog) -> QuestionTold:
    return QuestionTold(
        key=q.key, of=q.of, path=q.path, say=catalog.say(q.say), answer=q.answer, wanted=q.wanted,
        outcome=q.outcome.value, reach=q.reach.value, places=places_of(q.cites),
    )  # fmt: skip


def told_circuits(result: CircuitsResult, catalog: Catalog) -> CircuitsTold:
    """The circuits answer as data."""
    return CircuitsTold(
        runs=[_run(run, result, catalog) for run in result.runs],
        faults=[_fault(each, catalog) for each in result.faults],
        grounding=[_required(each, catalog) for each in result.grounding],
        questions=[_question(each, catalog) for each in result.questions],
    )
