"""Small houses with sources for tests: facts as a job file has them, to buses, strings and checks."""

from __future__ import annotations

from typing import Any

from deadfront.assess.run import context_of, facts_of
from deadfront.circuits.rules.answer import circuits_answer
from deadfront.codebook import Codebook, open_book
from deadfront.job.model import Job
from deadfront.loads.rules.answer import load_answer
from deadfront.results.sources import BusAnswer, OptionAnswer, SourcesResult
from deadfront.sources.rules.answer import sources_answer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.worksheet.step import Step

SERVICE = {"system": "120/240 1ph 3w", "disconnect": {"rating_a": 200}}
SYSTEM = {"id": "e-01", "listed": True, "restricted_access": True, "lost_signal": "holds limit", "monitors": "service"}
SOLAR = {"id": "s-01", "kind": "solar", "breaker": "b-s1", "interactive": True, "listed": True}


def facts_from(before: dict[str, Any], edition: str = "2023", *, add: dict[str, Any] | None = None,
               book: Codebook | None = None) -> SourceFacts:  # fmt: skip
    """Facts of a house as found and of what one step adds."""
    book = book or open_book(edition)
    work = [{"id": "w-01a", "say": "work", "add": add}] if add else []
    head = {"format": 1, "name": "house", "code": {"edition": book.edition}, "existing": True}
    job = Job.model_validate({"job": head, "before": {"service": SERVICE, **before}, "work": work})
    context = context_of(job, book)
    load = load_answer(context)
    circuits = circuits_answer(facts_of(context, load))
    return SourceFacts(book, context.at, load, circuits, context.assumptions, context.readings)


def answer(before: dict[str, Any], edition: str = "2023", **more: Any) -> SourcesResult:
    """The sources answer of that house."""
    return sources_answer(facts_from(before, edition, **more))


def panel(
    bus_a: float | None = 200, main_a: float | None = 200, output_a: float | None = 32, *,
    spaces: list[int] | None = None, source: dict[str, Any] | None = None, breakers: list[dict[str, Any]] | None = None,
    device_a: float | None = 60, **facts: Any,
) -> dict[str, Any]:  # fmt: skip
    """A panel of 20 spaces with its main at the top, and solar on a breaker, at the far end unless told otherwise."""
    own = {"id": "p-aa", "fed_by": "service", "spaces": 20, "main_at": "top"}
    made = {**own, **({"bus_a": bus_a} if bus_a is not None else {}), **facts}
    main = {"id": "b-mn", "panel": "p-aa", "poles": 2, "role": "main"} | ({"rating_a": main_a} if main_a else {})
    mine = {"id": "b-s1", "panel": "p-aa", "spaces": [18, 20] if spaces is None else spaces, "poles": 2,
            "role": "source"} | ({"rating_a": device_a} if device_a else {})  # fmt: skip
    solar = {**SOLAR, **({"output_a": output_a} if output_a is not None else {}), **(source or {})}
    disconnect = {"disconnect": {"rating_a": main_a}} if main_a else {}
    return {
        "service": {"system": "120/240 1ph 3w", **disconnect}, "panels": [made],
        "breakers": [main, mine, *(breakers or [])], "sources": [solar],
        "complete": {"breakers": "yes", "sources": "yes"},
    }  # fmt: skip


def bus_of(result: SourcesResult, of: str = "p-aa", kind: str = "bus") -> BusAnswer:
    """One bus, feeder, tap or service."""
    return next(each for each in result.buses if (each.of, each.kind) == (of, kind))


def option(bus: BusAnswer, key: str, controlled: bool = False) -> OptionAnswer:
    """One option of a bus."""
    return next(each for each in bus.options if (each.key, each.controlled) == (key, controlled))


def value(step: Step | None) -> float:
    """A figure that is exactly known."""
    assert step is not None and step.value.exact, step
    return float(step.value.low)


def told(result: SourcesResult, ident: str, thing: str = "s-01") -> list[str]:
    """Outcome and ending of the words of every check of that id on that thing: "FAILS place"."""
    return [f"{c.outcome.name} {c.say.key.rpartition('.')[2]}" for c in result.checks
            if (c.id, c.thing) == (ident, thing)]  # fmt: skip
