"""One job assessed: every instant stage, its checks, and the survey's to-do list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from deadfront import __version__
from deadfront.circuits.rules.answer import circuits_answer
from deadfront.circuits.rules.facts import Facts
from deadfront.codebook.book import Codebook
from deadfront.commissioning.rules.answer import commissioning_answer
from deadfront.commissioning.rules.facts import Facts as CommissioningFacts
from deadfront.isolation.rules.answer import isolation_answer
from deadfront.job.house import HouseAt, house_at, things
from deadfront.job.model import Job
from deadfront.loads.rules.answer import load_answer
from deadfront.loads.rules.context import Context
from deadfront.metering.rules.answer import metering_answer
from deadfront.msg import Msg
from deadfront.panel.rules.answer import panels_answer
from deadfront.recordings.answer import Reduction
from deadfront.results.circuits import CircuitsResult
from deadfront.results.commissioning import CommissioningResult
from deadfront.results.isolation import IsolationResult
from deadfront.results.loads import LoadResult
from deadfront.results.metering import MeteringResult
from deadfront.results.panel import PanelResult
from deadfront.results.sources import SourcesResult
from deadfront.sources.rules.answer import sources_answer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing


@dataclass(frozen=True, slots=True)
class ToFind:
    """A fact to find out, and the answers that hang on it.

    Args:
        missing: The fact and how to get it.
        answers: Keys of the methods and checks that wait for it.
    """

    missing: Missing
    answers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Assessment:
    """What is known of a job at one step.

    Args:
        job: The job.
        at: Its house at the step assessed.
        book: The code it was held against.
        load: The load answer.
        circuits: Circuits, service, grounding, faults and protection.
        panels: Every panel's layout judged, with the evenness of its legs.
        sources: Every bus that a source loads, arrays, disconnects and places.
        isolation: How the zone of each work step is made dead, whatever step is assessed.
        metering: Every metering channel held against its conductor and settings.
        commissioning: Every test due and done, the torque log, the energizing sequence.
        checks: Findings of all stages, the worst first.
        to_find: The survey's to-do list, the most useful fact first.
        engine: Version of this program.
    """

    job: Job
    at: HouseAt
    book: Codebook
    load: LoadResult
    circuits: CircuitsResult
    panels: tuple[PanelResult, ...]
    sources: SourcesResult
    isolation: IsolationResult
    metering: MeteringResult
    commissioning: CommissioningResult
    checks: tuple[Check, ...]
    to_find: tuple[ToFind, ...]
    engine: str


def existing_dwelling(job: Job) -> bool | None:
    """Whether the dwelling stands already: as entered, else yes once anything was found there."""
    if job.job.existing is not None:
        return job.job.existing
    return True if any(True for _ in things(job.before)) else None


def context_of(
    job: Job, book: Codebook, at: str | None = None, measured: Mapping[str, Reduction] | None = None,
    unread: Mapping[str, Msg] | None = None,
) -> Context:  # fmt: skip
    """What the load rules are handed for a job at a step; `measured`: what its recordings come to, by id."""
    return Context(
        book, house_at(job, at), frozenset(job.assumptions), dict(job.choices.readings), existing_dwelling(job),
        dict(measured or {}), dict(unread or {}),
    )  # fmt: skip


def facts_of(context: Context, load: LoadResult, permit_on: date | None = None) -> Facts:
    """What the circuits rules are handed for the same house, with the load answer."""
    return Facts(context.book, context.at, load, context.assumptions, context.readings, context.existing, permit_on)


_BAD = {Severity.DANGER: 0, Severity.CORRECT: 1, Severity.NOTE: 2}
_SAID = {Outcome.FAILS: 0, Outcome.CANNOT_TELL: 1, Outcome.MEETS: 2, Outcome.NOT_APPLICABLE: 3}


def in_order(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """Findings as a foreman says them: what endangers, what to correct, what to find out, what is well."""
    return tuple(sorted(checks, key=lambda c: (not c.is_finding, _BAD[c.severity], _SAID[c.outcome])))


def _on_site_list(check: Check) -> bool:
    """Whether what a check waits for stands on the site list, or bars nothing: it is no fact of the to-do list."""
    stage = check.id.partition(".")[0]
    return stage == "site" or (stage != "load" and check.severity is Severity.NOTE)


def to_find(load: LoadResult, checks: tuple[Check, ...]) -> tuple[ToFind, ...]:
    """Every missing fact, by how many answers hang on it; ties in the order the answers name them."""
    facts: dict[str, Missing] = {}
    answers: dict[str, list[str]] = {}

    def waits(key: str, missing: tuple[Missing, ...]) -> None:
        for fact in missing:
            facts.setdefault(fact.path, fact)
            names = answers.setdefault(fact.path, [])
            if key not in names:
                names.append(key)

    limit = load.limit.smallest.all_missing()
    for method in load.methods:
        if method.amperes is not None:
            waits(method.key, (*method.waits_for(), *limit))
        elif method.missing:
            waits(method.key, method.missing)
    for check in checks:
        if check.is_finding and check.id != "load.service_carries" and not _on_site_list(check):
            waits(check.id, check.missing)
    found = [ToFind(facts[path], tuple(names)) for path, names in answers.items()]
    return tuple(sorted(found, key=lambda f: -len(f.answers)))


def assess(
    job: Job, book: Codebook, at: str | None = None, measured: Mapping[str, Reduction] | None = None,
    unread: Mapping[str, Msg] | None = None,
) -> Assessment:  # fmt: skip
    """A job assessed at a step of the work: "before", a step id, or None for all work done.

    Args:
        measured: What each recording of the job comes to, by its id; one that is not there is still to be reduced.
        unread: Why a recording could not be reduced, by its id, where that is known.

    Raises:
        NotFound: no such step.
        EditRefused: the work names things that are not there.
    """
    context = context_of(job, book, at, measured, unread)
    load = load_answer(context, job.choices.rely_on)
    circuits = circuits_answer(facts_of(context, load, job.job.permit_on))
    panels = panels_answer(book, context.at, circuits.runs, job.choices.panel_loads)
    sources = sources_answer(SourceFacts(book, context.at, load, circuits, context.assumptions, context.readings))
    laid_out = tuple(check for panel in panels for check in panel.checks)
    metering = metering_answer(book, context.at, circuits)
    isolation = isolation_answer(job)
    tested = commissioning_answer(CommissioningFacts(book, context.at, circuits))
    checks = in_order((*load.checks, *circuits.checks, *laid_out, *sources.checks, *metering.checks, *isolation.checks,
                       *tested.checks))  # fmt: skip
    return Assessment(
        job, context.at, book, load, circuits, panels, sources, isolation, metering, tested, checks,
        to_find(load, checks), __version__,
    )  # fmt: skip
