"""Small houses of circuits for tests: facts as a job file has them, to case, run and checks of one circuit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from importlib import import_module
from typing import Any

from deadfront.assess.run import context_of, facts_of
from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.answer import run_of
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.cases import cases_of
from deadfront.codebook import Codebook, open_book
from deadfront.job.model import Job
from deadfront.loads.rules.answer import load_answer
from deadfront.results.circuits import Run
from deadfront.worksheet.check import Check
from deadfront.worksheet.step import Step

MODULES = ("run_breaker", "run_conductor", "run_equipment", "run_ground", "run_load", "run_parallel", "run_place",
           "device", "raceway_fill", "box_fill")  # fmt: skip
NM = {"type": "NM-B", "metal": "copper", "runs": ["wall"], "terminals_c": 75}
PIPE = {"type": "THWN-2", "metal": "copper", "runs": ["wall"], "terminals_c": 75}


def facts_from(before: dict[str, Any], edition: str = "2023", add: dict[str, Any] | None = None,
               book: Codebook | None = None) -> Facts:  # fmt: skip
    """Facts of a house as found and of what one step adds, with the cases of its runs."""
    service = {"system": "120/240 1ph 3w", "disconnect": {"rating_a": 200}}
    work = [{"id": "w-01a", "say": "work", "add": add}] if add else []
    job = Job.model_validate({
        "job": {"format": 1, "name": "house", "code": {"edition": edition}, "existing": True},
        "before": {"service": service, "panels": [{"id": "p-aa", "fed_by": "service", "spaces": 40}], **before},
        "work": work,
    })  # fmt: skip
    context = context_of(job, book or open_book(edition))
    facts = facts_of(context, load_answer(context))
    return replace(facts, cases=cases_of(facts))


def circuit_facts(
    cable: dict[str, Any] | None = None, rating_a: float | None = 20, *loads: dict[str, Any], poles: int = 1,
    edition: str = "2023", new: bool = True, book: Codebook | None = None, breaker: dict[str, Any] | None = None,
    raceways: list[dict[str, Any]] | None = None, **circuit: Any,
) -> Facts:  # fmt: skip
    """Facts of one circuit c-01 on breaker b-01, made by the work unless `new` is False."""
    edition = edition if book is None else book.edition
    made = {"id": "b-01", "panel": "p-aa", "poles": poles} | ({"rating_a": rating_a} if rating_a else {})
    parts = {
        "breakers": [{**made, **(breaker or {})}],
        "circuits": [{"id": "c-01", "breaker": "b-01", "cable": cable or {}, **circuit}],
        "loads": [{"id": f"l-0{n}", "circuit": "c-01", **load} for n, load in enumerate(loads)],
        "raceways": raceways or [],
    }
    return facts_from({} if new else parts, edition, parts if new else None, book)


def case(*args: Any, **more: Any) -> RunCase:
    """The case of that one circuit."""
    return circuit_facts(*args, **more).cases["c-01"]


def run(*args: Any, **more: Any) -> Run:
    """The run of that one circuit."""
    return run_of(case(*args, **more))


def all_of(facts: Facts) -> Iterator[Check]:
    """Checks of every rule of runs, raceways and boxes."""
    for name in MODULES:
        yield from import_module(f"deadfront.circuits.rules.each.{name}").checks(facts)


def checks(*args: Any, **more: Any) -> dict[str, Check]:
    """Checks of that one circuit by id."""
    return {check.id: check for check in all_of(circuit_facts(*args, **more))}


def figure(step: Step | None) -> Decimal:
    """A figure that is exactly known."""
    assert step is not None and step.value.exact, step
    return step.value.low


def ends(step: Step | None) -> tuple[Decimal, Decimal | None]:
    """Both ends of a figure."""
    assert step is not None
    return step.value.low, step.value.high


def sizes(run_: Run) -> dict[str, str]:
    """The smallest conductors that work, by metal."""
    return {each.metal: each.size for each in run_.smallest}
