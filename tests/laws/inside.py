"""Whether the exact answer of a filled-in house lies inside the range of the house with blanks, method by method."""

from __future__ import annotations

from collections import Counter

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.items import items_of
from deadfront.loads.rules.methods import ORDER, method
from deadfront.loads.rules.service import service_limit
from deadfront.quantities import Interval
from deadfront.results.loads import Method
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.step import Step
from tests.laws.blanks import Blank, blank, fill

FIGURES = ("total", "amperes", "rounded", "neutral", "neutral_amperes")


def all_methods(context: Context) -> dict[str, Method]:
    """Every method of a house by key."""
    items, limit = items_of(context), service_limit(context)
    return {key: method(context, key, items, limit) for key in ORDER}


def holds(outer: Interval, inner: Interval) -> bool:
    """The whole inner range inside the outer; the last digit of a quotient without end is let go."""
    if inner.high is None:
        return outer.high is None and inner.low >= outer.low
    slack = inner.high / 10**20
    return inner.low + slack >= outer.low and (outer.high is None or inner.high - slack <= outer.high)


def broken(blanked: Blank, samples: int, seed: int) -> tuple[list[str], Counter[str]]:
    """Every figure and verdict of the samples that the blank house's answer does not allow."""
    ranges = all_methods(blanked.context)
    found: list[str] = []
    counts: Counter[str] = Counter()
    for index in range(samples):
        exact = all_methods(fill(blanked, seed * 1000 + index))
        for key, outer in ranges.items():
            inner = exact[key]
            if outer.total is None or inner.total is None:
                continue
            counts[f"samples: {key}"] += 1
            found += [f"{key} {text} (fill {seed * 1000 + index})" for text in _wrong(outer, inner)]
            if outer.verdict in (Outcome.MEETS, Outcome.FAILS):
                counts[f"verdict with blanks: {key} {outer.verdict.name.lower()}"] += 1
    for key, outer in ranges.items():
        if outer.total is not None and not outer.total.value.exact:
            counts[f"range: {key} {'bounded' if outer.total.value.high is not None else 'from below'}"] += 1
    return found, counts


def _wrong(outer: Method, inner: Method) -> list[str]:
    said = []
    for name in FIGURES:
        wide: Step | None = getattr(outer, name)
        exact: Step | None = getattr(inner, name)
        if wide is not None and exact is not None and not holds(wide.value, exact.value):
            said.append(f"{name} {exact.value.low} outside {wide.value.low} to {wide.value.high}")
    if outer.verdict in (Outcome.MEETS, Outcome.FAILS) and inner.verdict is not outer.verdict:
        said.append(f"verdict {inner.verdict.name} where {outer.verdict.name} was said")
    return said


def sweep(edition: str, seeds: range, samples: int, shape: str | None = None) -> tuple[list[str], Counter[str]]:
    """Many houses with blanks, many samples of each."""
    found: list[str] = []
    counts: Counter[str] = Counter()
    for seed in seeds:
        some, met = broken(blank(seed, edition, shape), samples, seed)
        counts.update(met)
        counts["houses"] += 1
        found += [f"{edition} seed {seed}: {text}" for text in some]
    return found, counts
