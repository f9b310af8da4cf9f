"""Panels that nothing can lay out, for the study of panels: small ones by trying every layout, large ones by CP-SAT."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from deadfront.app.panel_race import race
from deadfront.panel.rules.places import Rules
from deadfront.panel.solve.cpsat import solve_cpsat
from deadfront.panel.solve.curve import clashing
from deadfront.panel.solve.linear import Linear, Solved
from deadfront.panel.solve.model import model_of
from deadfront.results.panel import PanelCase, Place
from tests.panel.infeasible import IDLE, clashes, every_rule, has_layout, idle_or_not_enough, names_of, tangled
from tests.panel.made import piece, realistic_case

SMALL, LARGE = 1000, 20
SECONDS = 10.0
HEAD = """
### Panels without a layout

A set of rules that clash is held against every layout of the panel: with these rules alone there is none, and with any
one of them given up there is one. {named} panels are set out by hand, {small} are random ones of 4 and 6 spaces.

| panels | have no layout | rules named | idle or not enough |
|---|---|---|---|"""
LARGE_HEAD = """
Realistic panels, {count} of each size, spoiled (breakers that stay in one space, that stay in spaces kept for a source,
a pair held on one leg, too many breakers, a controllable breaker with no space left, legs held uneven): the rules named
by both solvers raced, each set held against CP-SAT alone. Seconds: at the 95th of a hundred.

| spaces | panels | no layout | rules named | confirmed | seconds |
|---|---|---|---|---|---|"""


def by_trying(out: list[str], small: int = SMALL) -> None:
    """Every set of rules against every layout."""
    named = [(each.case, each.limit) for each in clashes()]
    out += HEAD.format(named=len(named), small=f"{small:,}").splitlines()
    for what, cases in (("by hand", named), ("random", [tangled(seed) for seed in range(small)])):
        none = rules = 0
        wrong: list[str] = []
        for number, (case, limit) in enumerate(cases):
            told = clashing(case, limit, SECONDS)
            if has_layout(case, limit):
                wrong += [f"{what} {number}: has a layout"] if told else []
                continue
            none += 1
            found = names_of(case, told)
            rules += len(found)
            wrong += [f"{what} {number}: {each}" for each in idle_or_not_enough(case, limit, found)]
        assert not wrong, wrong
        out.append(f"| {len(cases):,} {what} | {none:,} | {rules:,} | {len(wrong)} |")


@dataclass
class Spoiled:
    """What was seen of the spoiled panels of one size."""

    panels: int = 0
    none: int = 0
    rules: int = 0
    confirmed: int = 0
    seconds: list[float] = field(default_factory=list)


def by_solver(spaces: int, seeds: range) -> Spoiled:
    """The rules that clash in spoiled panels, confirmed by one engine alone."""
    seen = Spoiled()
    for seed in seeds:
        case, limit = spoiled(spaces, seed)
        start = time.perf_counter()
        told = clashing(case, limit, SECONDS, race())
        seen.seconds.append(time.perf_counter() - start)
        seen.panels += 1
        if told:
            named = names_of(case, told)
            seen.none += 1
            seen.rules += len(named - set(IDLE))
            seen.confirmed += confirmed(case, limit, named)
    return seen


def confirmed(case: PanelCase, limit: int | None, named: frozenset[str]) -> bool:
    """Whether CP-SAT alone finds no layout under these rules, and one as soon as any of them is given up."""
    others = every_rule(case, limit) - named
    return _possible(case, limit, others) is False and all(
        _possible(case, limit, others | {rule}) is True for rule in named - set(IDLE)
    )


def _possible(case: PanelCase, limit: int | None, off: frozenset[str]) -> bool | None:
    model = model_of(case, None if "limit" in off else limit, Rules(off))
    model.program.cost.clear()
    status = _cpsat(model.program, SECONDS).status
    return None if status == "not found" else status != "impossible"


def _cpsat(program: Linear, seconds: float) -> Solved:
    return solve_cpsat(program, seconds)


# --- realistic panels, spoiled --------------------------------------------------------------------------------------
def spoiled(spaces: int, seed: int) -> tuple[PanelCase, int | None]:
    """A realistic panel with one thing in it that cannot be, and the limit on the legs where that is part of it."""
    rng = random.Random(f"spoiled/{spaces}/{seed}")
    ways: tuple[Callable[[PanelCase, random.Random], PanelCase], ...] = (_twice, _kept, _one_leg, _too_many, _nowhere)
    number = seed % (len(ways) + 1)
    if number == len(ways):
        return _uneven(realistic_case(spaces, seed, False)), 10
    return ways[number](realistic_case(spaces, seed, False), rng), None


def _twice(case: PanelCase, rng: random.Random) -> PanelCase:
    """Two that stay in one space."""
    singles = [each for each in case.pieces if each.poles == 1 and each.now and not each.partner]
    first, second = rng.sample(singles, 2)
    changed = {first.id: replace(first, fixed=True), second.id: replace(second, fixed=True, now=first.now)}
    return _with(case, changed)


def _kept(case: PanelCase, rng: random.Random) -> PanelCase:
    """One that stays where spaces are kept."""
    one = rng.choice([each for each in case.pieces if each.now and each.poles == 1])
    assert one.now is not None
    return replace(_with(case, {one.id: replace(one, fixed=True)}), reserved=case.reserved | set(one.now.spaces))


def _one_leg(case: PanelCase, rng: random.Random) -> PanelCase:
    """Two hots of a shared neutral that stay on one leg."""
    singles = [each for each in case.pieces if each.poles == 1 and each.now and not each.partner]
    first = rng.choice(singles)
    leg = case.legs[first.now.spaces[0] - 1] if first.now else 0
    second = rng.choice([e for e in singles if e is not first and e.now and case.legs[e.now.spaces[0] - 1] == leg])
    pair = ((first, second), (second, first))
    return _with(case, {a.id: replace(a, fixed=True, partner=b.id, shares_neutral=True) for a, b in pair})


def _too_many(case: PanelCase, rng: random.Random) -> PanelCase:
    """More breakers than any use of the spaces takes."""
    return replace(case, pieces=(*case.pieces, *(piece(f"more-{n}") for n in range(case.spaces))), circuits_max=None)


def _nowhere(case: PanelCase, rng: random.Random) -> PanelCase:
    """A new controllable breaker, and the only space that takes one holds what stays."""
    one = rng.choice([each for each in case.pieces if each.now and each.poles == 1 and not each.partner])
    assert one.now is not None
    changed = _with(case, {one.id: replace(one, fixed=True)})
    kept = tuple(replace(each, controllable=False) for each in changed.pieces)
    new = piece("able", *([0] * len(case.scenarios)), controllable=True)
    return replace(changed, pieces=(*kept, new), controllable_spaces=frozenset(one.now.spaces[:1]))


def _uneven(case: PanelCase) -> PanelCase:
    """A large load that stays on the first leg, and all others on it too."""
    held = [replace(each, fixed=each.now is not None) for each in case.pieces]
    times = len(case.scenarios)
    heavy = piece("heavy", *([5000] * times), now=Place((1,)), fixed=True)
    kept = tuple(each for each in held if each.now is None or 1 not in each.now.spaces)
    alone = {each.id for each in kept}
    return replace(
        case, pieces=(heavy, *(each if each.partner in alone else replace(each, partner="") for each in kept))
    )


def _with(case: PanelCase, changed: dict[str, object]) -> PanelCase:
    return replace(case, pieces=tuple(changed.get(each.id, each) for each in case.pieces))  # type: ignore[misc]
