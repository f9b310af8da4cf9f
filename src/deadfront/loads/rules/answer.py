"""The load answer of a house: all methods, the one offered, the one relied on, the next standard size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from deadfront.codebook import lookup
from deadfront.loads.rules.context import Context
from deadfront.loads.rules.findings import load_checks
from deadfront.loads.rules.items import items_of
from deadfront.loads.rules.management import management_facts
from deadfront.loads.rules.measured import evidence_of
from deadfront.loads.rules.methods import method, methods_for
from deadfront.loads.rules.service import service_limit
from deadfront.loads.rules.several import unit_count
from deadfront.results.loads import LoadResult, Method
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.step import Step


def offered_method(methods: Sequence[Method]) -> str:
    """The admissible method with the lowest high end; with no high end anywhere, the lowest low end."""
    fit = [m for m in methods if m.admissible is Outcome.MEETS and m.amperes is not None]
    if not fit:
        return ""

    def order(m: Method) -> tuple[bool, object]:
        assert m.amperes is not None
        value = m.amperes.value
        return value.high is None, value.high if value.high is not None else value.low

    return min(fit, key=order).key


def minimum_service(context: Context, relied: Method) -> Step | None:
    """The next standard size for a load [A], not below the least service of a one-family dwelling."""
    if relied.rounded is None:
        return None
    least = relied.rounded
    if unit_count(context) <= 1:
        floor = context.given("given/service_min", "service_min_one_family_a")
        least = build.largest(
            "minimum/least",
            "load.minimum_least",
            (relied.rounded, floor),
            unit="A",
            cite=context.cite("service_minimum"),
        )
    ratings = lookup.standard_ratings(context.book)
    return build.next_standard(
        "minimum/service", "load.minimum_service", least, ratings, cite=context.cite("service_rating_next_size")
    )


def load_answer(context: Context, rely_on: str | None = None) -> LoadResult:
    """The load of a house by every method, held against its service."""
    items, limit = items_of(context), service_limit(context)
    methods = tuple(method(context, key, items, limit) for key in methods_for(context))
    offered = offered_method(methods)
    relied = rely_on if any(m.key == rely_on for m in methods) else offered
    chosen = next((m for m in methods if m.key == relied), None)
    minimum = minimum_service(context, chosen) if chosen is not None else None
    result = LoadResult(context.at.step, limit, methods, offered, relied or "", minimum, ())
    result = replace(result, evidence=evidence_of(context))
    facts = management_facts(context, items)
    return replace(result, checks=load_checks(context, items, result), management=facts)
