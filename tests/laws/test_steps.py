"""Every figure is what its Steps say, worked again by an evaluator of its own; ids are unique; leaves carry a place."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.codebook.editions import EDITIONS
from deadfront.loads.rules.answer import load_answer
from deadfront.quantities import between
from deadfront.worksheet import build
from deadfront.worksheet.step import OPS, Step
from tests.laws.blanks import blank
from tests.laws.evaluate import OPERATIONS, wrong_steps
from tests.loads.from_case import context_of
from tests.oracle.houses import random_case


def tops(context) -> list[Step]:  # type: ignore[no-untyped-def]
    """Every Step of an answer that something is printed or judged by."""
    answer = load_answer(context)
    found = [answer.limit.smallest, *answer.limit.parts, answer.minimum]
    for method in answer.methods:
        found += [method.total, method.amperes, method.rounded, method.neutral, method.neutral_amperes]
    return [step for step in found if step is not None]


OF_CIRCUITS = {"below", "hypot", "leg", "apart"}
"""Operations that load rules have no use for: impedance, voltage drop, limits that are not rounded up."""


def same_id_other_figure(steps: list[Step]) -> list[str]:
    """Ids that stand for two different figures."""
    figures: dict[str, Step] = {}
    return [
        step.id
        for top in steps
        for step in top.walk()
        if (known := figures.setdefault(step.id, step)).value != step.value or known.op != step.op
    ]


@settings(max_examples=30)
@given(seed=st.integers(0, 10**6), edition=st.sampled_from(EDITIONS), blanks=st.booleans())
def test_every_step_is_what_it_says(seed: int, edition: str, blanks: bool) -> None:
    context = blank(seed, edition).context if blanks else context_of(random_case(seed, edition))
    steps = tops(context)
    assert [text for step in steps for text in wrong_steps(step)] == []
    assert same_id_other_figure(steps) == []


def test_every_operation_is_met() -> None:
    """The houses tried use every operation that load rules use, and the evaluator knows each."""
    met: Counter[str] = Counter()
    for seed in range(25):
        for context in (blank(seed, "2023").context, context_of(random_case(seed, "2023"))):
            met.update(step.op for top in tops(context) for step in top.walk())
    assert set(met) | OF_CIRCUITS == set(OPS)
    assert set(OPERATIONS) | {"fact", "given", "lookup", "count"} == set(OPS)
    assert min(met.values()) >= 10, met


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_wrong_step_is_seen(edition: str) -> None:
    """The evaluator is not blind: a total changed by one VA is found."""
    from dataclasses import replace

    from deadfront.quantities import Interval

    top = next(step for step in tops(context_of(random_case(3, edition))) if step.id == "standard/total")
    assert top.value.high is not None
    changed = replace(top, value=Interval(top.value.low + 1, top.value.high + 1))
    assert wrong_steps(top) == []
    assert len(wrong_steps(changed)) == 1


@given(low=st.tuples(*[st.integers(0, 500)] * 2), more=st.tuples(*[st.integers(0, 300)] * 2), open_end=st.booleans())
def test_operations_of_circuits_are_what_they_say(low: tuple[int, int], more: tuple[int, int], open_end: bool) -> None:
    """By another reckoning, in fractions; and every value between the ends stays inside the range."""
    a = build.fact("a", "a", between(low[0], None if open_end else low[0] + more[0]), "V", "")
    b = build.fact("b", "b", between(low[1], low[1] + more[1]), "V", "")
    ratings = [Decimal(each) for each in (15, 20, 100, 400)]
    for step in (build.hypotenuse("h", "h", [a, b], unit="V"), build.triangle_leg("l", "l", a, b, unit="V"),
                 build.apart("d", "d", a, b), build.standard_below("s", "s", b, ratings)):  # fmt: skip
        assert wrong_steps(step) == []
    gap = build.apart("d", "d", a, b).value
    for x in (low[0], low[0] + more[0]):
        for y in (low[1], low[1] + more[1] // 2, low[1] + more[1]):
            assert gap.low <= abs(x - y) and (gap.high is None or abs(x - y) <= gap.high)
