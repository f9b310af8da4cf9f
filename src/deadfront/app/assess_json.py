"""An assessment as plain data for other programs: documented, versioned, with words and exact figures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

from pydantic import Field

from deadfront.app.answers import Answered
from deadfront.app.circuits_json import CircuitsTold, told_circuits
from deadfront.app.commissioning_json import CommissioningTold, told_commissioning
from deadfront.app.isolation_json import IsolationTold, told_isolation
from deadfront.app.sources_json import SourcesTold, told_sources
from deadfront.app.told import Figure, OutcomeWord, Place, Plain, Range, figure, places_of, range_of, told_range
from deadfront.assess.standing import result_digest
from deadfront.documents.catalog import Catalog
from deadfront.job.problems import Problem
from deadfront.loads.rules.matters import Share
from deadfront.results.loads import LoadResult, Method
from deadfront.worksheet.check import Check

VERSION: Literal[1] = 1


class Fact(Plain):
    """A fact to find out."""

    path: str = Field(description="Where it belongs in the job")
    what: str
    how: str = Field(description="How to get it, on site or from whom")
    answers: list[str] = Field(description="Methods and checks that wait for it")


class ReadingTaken(Plain):
    """A disputed rule that the method uses."""

    subject: str
    options: list[str]
    chosen: str = Field(description="Empty where the larger figure is taken")
    by: Literal["job", "amendment", "larger"]


class MethodTold(Plain):
    """One way to the calculated load."""

    key: str
    name: str
    section: str
    admissible: OutcomeWord = Field(description="Whether this method may be used here")
    why: str
    load_va: Range | None = Field(description="Calculated load [VA]; null where the method gives none")
    current_a: Range | None = Field(description="The same at the service [A]")
    current_whole_a: Range | None = Field(description="The same in whole amperes, as held against the service [A]")
    verdict: OutcomeWord = Field(description="Held against the service")
    neutral_va: Range | None = Field(description="Neutral load [VA], where the method has one")
    readings: list[ReadingTaken]
    missing: list[str] = Field(description="Paths of the facts that would narrow it")
    places: list[Place]


class PartTold(Plain):
    """One part of the service."""

    id: str
    name: str
    current_a: Range


class ServiceTold(Plain):
    """The service, and the smallest of its parts."""

    smallest_a: Range
    limiting: str = Field(description="Id of the part that sets the limit; empty where none is known")
    parts: list[PartTold]


class CheckTold(Plain):
    """One rule held against one thing."""

    id: str = Field(description="Stable; each has a help page")
    thing: str
    outcome: OutcomeWord
    severity: Literal["danger", "correct", "note"]
    reach: str
    say: str
    remedy: str
    missing: list[str] = Field(description="Paths of the facts that would let it tell")
    places: list[Place]


class ShareTold(Plain):
    """What one load adds to the method relied on."""

    load: str
    name: str
    adds_a: Figure | None = Field(description="null: not known; negative where it lowers the total [A]")
    adds_least_a: Figure = Field(description="The same between the low ends [A]")


class ProblemTold(Plain):
    """Something in the job file that could not be taken as written."""

    line: int | None
    path: str
    say: str
    set_aside: bool


class JobTold(Plain):
    """Which job was assessed."""

    name: str
    place: str
    edition: str
    amendments: list[str]
    revision: int | None = Field(description="Revision in the library; null for a file")
    step: str = Field(description='Step of the work assessed, or "before"')


class StandingTold(Plain):
    """What stands before a signature."""

    to_correct: int
    to_find: int
    next: str
    signable: bool


class AssessmentTold(Plain):
    """The answer of `deadfront assess --json`."""

    format: Literal["deadfront.assess"] = "deadfront.assess"
    version: Literal[1] = VERSION
    engine: str
    language: str
    codebook_digest: str
    result_digest: str
    job: JobTold
    outcome: OutcomeWord = Field(description="The service against the method relied on")
    relied: str = Field(description="Key of the method relied on; empty where none may be used")
    standing: StandingTold
    methods: list[MethodTold]
    service: ServiceTold
    circuits: CircuitsTold
    sources: SourcesTold
    isolation: IsolationTold
    commissioning: CommissioningTold
    minimum_a: Range | None = Field(description="Next standard service size for this load [A]")
    checks: list[CheckTold]
    to_find: list[Fact] = Field(description="The most useful fact first")
    shares: list[ShareTold] | None = Field(description="With --matters: each load's share; else null")
    problems: list[ProblemTold]
    cautions: list[str]


def _method(m: Method, catalog: Catalog) -> MethodTold:
    return MethodTold(
        key=m.key, name=catalog.say(m.name), section=m.section, admissible=m.admissible.value, why=catalog.say(m.why),
        load_va=range_of(m.total), current_a=range_of(m.amperes), current_whole_a=range_of(m.rounded),
        verdict=m.verdict.value, neutral_va=range_of(m.neutral), missing=[f.path for f in m.waits_for()],
        places=places_of(m.amperes.all_cites() if m.amperes is not None else m.cites),
        readings=[ReadingTaken(subject=r.subject, options=list(r.options), chosen=r.chosen, by=_by(r.by))
                  for r in m.readings],
    )  # fmt: skip


def _by(word: str) -> Literal["job", "amendment", "larger"]:
    return "job" if word == "job" else "amendment" if word == "amendment" else "larger"


def _check(c: Check, catalog: Catalog) -> CheckTold:
    return CheckTold(
        id=c.id, thing=c.thing, outcome=c.outcome.value, severity=c.severity.value, reach=c.reach.value,
        say=catalog.say(c.say), remedy=catalog.say(c.remedy) if c.remedy else "", missing=[m.path for m in c.missing],
        places=places_of(c.cites),
    )  # fmt: skip


def _service(load: LoadResult, catalog: Catalog) -> ServiceTold:
    parts = [PartTold(id=p.id, name=catalog.say(p.name), current_a=told_range(p.value)) for p in load.limit.parts]
    return ServiceTold(smallest_a=told_range(load.limit.smallest.value), limiting=load.limit.limiting, parts=parts)


def carries(answered: Answered) -> str:
    """The outcome of the check that answers the question: does the service carry it?"""
    found = [c.outcome.value for c in answered.assessment.checks if c.id == "load.service_carries"]
    return found[0] if found else "cannot tell"


def told(
    answered: Answered, catalog: Catalog, *, revision: int | None = None, problems: Sequence[Problem] = (),
    shares: Sequence[Share] | None = None, cautions: Sequence[str] = (),
) -> dict[str, Any]:  # fmt: skip
    """An assessment as JSON, by the schema of `assess_schema`."""
    found, standing = answered.assessment, answered.standing
    load, head = found.load, answered.job.job
    return AssessmentTold(
        engine=found.engine, language=catalog.language, codebook_digest=found.book.digest,
        result_digest=result_digest(found), outcome=carries(answered), relied=load.relied,
        job=JobTold(name=head.name, place=head.place, edition=found.book.edition, revision=revision, step=load.step,
                    amendments=[a.name for a in found.book.amendments]),
        standing=StandingTold(to_correct=standing.to_correct, to_find=standing.to_find,
                              next=catalog.say(standing.next), signable=standing.signable),
        methods=[_method(m, catalog) for m in load.methods], service=_service(load, catalog),
        circuits=told_circuits(found.circuits, catalog), sources=told_sources(found.sources, catalog),
        isolation=told_isolation(found.isolation, catalog),
        commissioning=told_commissioning(found.commissioning, catalog),
        minimum_a=range_of(load.minimum), checks=[_check(c, catalog) for c in found.checks],
        to_find=[Fact(path=f.missing.path, what=catalog.say(f.missing.what), how=catalog.say(f.missing.how),
                      answers=list(f.answers)) for f in found.to_find],
        shares=None if shares is None else [
            ShareTold(load=s.load, name=catalog.say(s.name), adds_a=None if s.adds is None else figure(s.adds),
                      adds_least_a=figure(s.with_it.low - s.without.low))
            for s in shares],
        problems=[ProblemTold(line=p.line, path=p.path, say=catalog.say(p.msg), set_aside=p.set_aside)
                  for p in problems],
        cautions=list(cautions),
    ).model_dump(mode="json")  # fmt: skip


def assess_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the assessment."""
    schema = AssessmentTold.model_json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema,
            "title": f"Assessment, version {VERSION}"}  # fmt: skip
