"""Panels that nothing can lay out end in the rules that clash, in words with the way out, none of them idle."""

from __future__ import annotations

from dataclasses import replace

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.panel.solve.cpsat import solve_cpsat
from deadfront.panel.solve.curve import alone, clashing
from deadfront.panel.solve.linear import Linear, Solved
from tests.panel.houses import breaker, house, panel
from tests.panel.infeasible import Clash, clashes, has_layout, idle_or_not_enough, names_of, tangled

PANELS = 150


def cpsat(program: Linear, seconds: float) -> Solved:
    """CP-SAT by itself."""
    return solve_cpsat(program, seconds)


@pytest.mark.parametrize("clash", clashes(), ids=lambda each: each.name)
def test_the_rules_that_clash_are_named_and_none_is_idle(clash: Clash) -> None:
    """Hand: the rules expected. Independent: by trying every layout, these alone leave none, and any one less does."""
    assert not has_layout(clash.case, clash.limit)
    assert idle_or_not_enough(clash.case, clash.limit, clash.rules) == []
    for run in (alone, cpsat):
        told = clashing(clash.case, clash.limit, 10, run)
        assert idle_or_not_enough(clash.case, clash.limit, names_of(clash.case, told)) == []
        assert names_of(clash.case, told) == clash.rules
    for language, way_out in (("en", "Way out: "), ("es", "Salida: ")):
        for each in told:
            words = Catalog(language, strict=True).say(each)
            assert way_out in words or each.key == "panel.trouble.overfull"


def test_there_are_enough_of_them() -> None:
    named = clashes()
    assert len(named) >= 30 and len({each.name for each in named}) == len(named)
    assert {rule.partition("/")[0] for each in named for rule in each.rules} == {
        "overfull", "room", "fixed", "reserved", "source_place", "source_end", "tandem", "half_spaces", "controllable",
        "shares_neutral", "tied", "limit",
    }  # fmt: skip


def test_random_tangles_end_in_a_set_without_an_idle_rule(capsys: pytest.CaptureFixture[str]) -> None:
    """Independent: every layout tried, for the set and for each rule left out of it."""
    none = rules = possible = 0
    wrong: list[str] = []
    for seed in range(PANELS):
        case, limit = tangled(seed)
        told = clashing(case, limit, 10)
        if has_layout(case, limit):
            possible += 1
            wrong += [f"{seed}: {told}"] if told else []
            continue
        none += 1
        named = names_of(case, told)
        rules += len(named)
        wrong += (
            [f"{seed}: {named}: {each}" for each in idle_or_not_enough(case, limit, named)] if told else [f"{seed}"]
        )
    with capsys.disabled():
        print(f"\n{PANELS} tangled panels: {none} have no layout, {rules} rules named for them; {possible} have one")
    assert wrong == []
    assert none >= 60 and possible >= 20 and rules > none


def test_a_search_without_time_says_so_and_names_nothing_as_proven() -> None:
    """Neither silence nor a set that nobody proved."""
    case = next(each.case for each in clashes() if each.name == "tied, and held apart")

    def late(program: Linear, seconds: float) -> Solved:
        return Solved("not found")

    assert [each.key for each in clashing(case, None, 1, late)] == ["panel.rule.not_settled"]
    calls: list[int] = []

    def tired(program: Linear, seconds: float) -> Solved:
        calls.append(1)
        return alone(program, seconds) if len(calls) < 2 else Solved("not found")

    told = [each.key for each in clashing(case, None, 1, tired)]
    assert told[-1] == "panel.rule.not_least" and "panel.rule.tied" in told
    for language in ("en", "es"):
        catalog = Catalog(language, strict=True)
        assert all(catalog.key(f"panel.rule.{key}") for key in ("not_settled", "not_least"))


def test_more_circuits_than_the_label_allows_is_told_by_the_judge_and_hides_no_layout() -> None:
    """No layout ends it, so it is no clash of rules: it is said of the panel whatever stands where."""
    result = panel(house(*(breaker(f"a{n}", f"{n}", 100) for n in range(1, 4)), panel="circuits_max = 2").replace(
        "circuits_max = 12\n", ""))  # fmt: skip
    assert result.case is not None
    assert [each.kind for each in result.violations] == ["too_many_circuits"]
    assert clashing(replace(result.case), None, 10) == ()


@pytest.mark.parametrize("legs", ['["L1"]', '["L2", "L2"]', '["L1", "L3"]'])
def test_a_leg_pattern_that_cannot_be_is_told_with_the_way_out(legs: str) -> None:
    result = panel(house(breaker("kit", "2", 1200), panel=f"legs = {legs}"))
    assert result.case is None and len(result.troubles) == 1 and result.missing[0].path == "before/p-k3m.legs"
    assert "nter" in Catalog("en", strict=True).say(result.troubles[0])
