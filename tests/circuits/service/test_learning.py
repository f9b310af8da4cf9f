"""Learning a fact never turns a verdict round: what failed without it still fails, what met does not fail with it."""

from __future__ import annotations

import copy
import random
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

import pytest

from deadfront.codebook import EDITIONS
from deadfront.worksheet.check import Outcome
from tests.circuits.service.houses import checks_of, facts_from
from tests.circuits.service.test_words import house

HOUSES, BLANKS = 25, 10
# What a thing is, and counts whose absence means one: to leave these out changes the house, not what is known of it.
STRUCTURE = {
    "id", "kind", "fed_by", "panel", "structure", "breaker", "circuit", "rating_a", "poles", "role", "spaces", "system",
    "sets", "disconnects", "supplies", "purpose", "runs", "circuits_max", "fault_current_ka",
}  # fmt: skip
# Facts that say the same in two places, so that a house made by chance contradicts itself in them.
TWICE = {
    "ground", "ground_size", "overhead", "existing_three_wire", "grounding_conductor", "mounting", "location",
    "neutral_joined", "bonding_jumper", "present", "marked", "service_equipment", "resistance_ohm",
    "electrodes_resistance_ohm",
}  # fmt: skip
# Left out, the neutral of a cable is as its other conductors: to leave it out changes the house.
AS_THE_OTHERS = {("feeder", "neutral_size"), ("cable", "neutral_size"), ("conductors", "neutral_metal")}
TOUCH: dict[str, Any] = {"service": {"system": "120/240 1ph 3w", "grounding": {}, "conductors": {}, "drop": {}},
                         **{thing: {"note": "x"} for thing in ("s-aa", "p-aa", "p-bb")}}  # fmt: skip


def places_of(data: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Where the single facts of a house stand."""
    pairs = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in pairs:
        if isinstance(value, dict | list):
            yield from places_of(value, (*path, key))
        elif isinstance(key, str) and key not in STRUCTURE | TWICE and (*path[-1:], key) not in AS_THE_OTHERS:
            yield (*path, key)


def without(data: dict[str, Any], path: tuple[str | int, ...]) -> dict[str, Any]:
    """A house with one fact left out."""
    less = copy.deepcopy(data)
    inner: Any = less
    for key in path[:-1]:
        inner = inner[key]
    del inner[path[-1]]
    return less


def outcomes(data: dict[str, Any], edition: str, touched: bool) -> dict[tuple[str, str], list[Outcome]]:
    found: dict[tuple[str, str], list[Outcome]] = defaultdict(list)
    for check in checks_of(facts_from(data, edition, set_=TOUCH if touched else None)):
        found[(check.id, check.thing)].append(check.outcome)
    return found


@pytest.mark.parametrize("edition", EDITIONS)
def test_learning_a_fact_never_turns_a_verdict_round(edition: str) -> None:
    chance = random.Random(int(edition) + 11)
    settled = 0
    for _ in range(HOUSES):
        data, touched = house(chance), chance.random() < 0.6
        full = outcomes(data, edition, touched)
        paths = list(places_of(data))
        for path in chance.sample(paths, min(BLANKS, len(paths))):
            less = outcomes(without(data, path), edition, touched)
            for key, known in less.items():
                learned = full[key]
                assert known.count(Outcome.FAILS) <= learned.count(Outcome.FAILS), (key, path)
                if set(known) == {Outcome.MEETS} and len(known) == len(learned):
                    assert Outcome.FAILS not in learned, (key, path)
                settled += known != learned
    assert settled > 10
