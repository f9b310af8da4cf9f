"""Channels put together by chance: every rule answers, what it waits for is truly open, every word is there."""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import pytest

from deadfront.job.metering_things import Channel
from deadfront.job.things import COLLECTIONS, Complete, Service
from deadfront.web.entry.shapes import field_shape, leaves
from deadfront.worksheet.check import Outcome
from tests.metering.metered import BREAKERS, CIRCUITS, GEAR, PANEL, assessed

SYSTEMS = ("120/240 1ph 3w", "208Y/120 1ph 3w", "208Y/120 3ph 4w", None)
THINGS = ["c-rr1", "c-wh1", "c-kk1", "c-kk2", "c-mw1", "c-mw2", "p-aa1", "p-bb1", "p-cc1", "s-aa1", "s-bb1", "service"]


def by_chance(chance: random.Random, number: int) -> dict[str, Any]:
    """A channel with some of its facts, each any value it may have."""
    out: dict[str, Any] = {"id": f"ch-{number:02d}"}
    for name in leaves(Channel):
        if chance.random() < 0.25:
            continue
        shape, options = field_shape(Channel, (name,))
        if shape == "choice":
            out[name] = chance.choice(options)
        elif shape == "yes_no":
            out[name] = chance.random() < 0.5
        elif shape == "whole":
            out[name] = chance.randint(0, 4)
        elif shape in ("quantity", "number"):
            out[name] = chance.choice([1, 5, 50, 200, 333, "0.5"])
    if chance.random() < 0.9:
        out["measures"] = chance.choice(THINGS)
    out["gear"] = GEAR["id"]
    out["input"] = str(chance.randint(1, 6))
    out["lead_size"] = chance.choice(["18", "14", None])
    return {key: value for key, value in out.items() if value is not None and key != "name"}


def house(chance: random.Random) -> dict[str, Any]:
    """A house in which panels hang on breakers, transfer equipment or nothing, and sources join in every way."""
    breakers = [*BREAKERS, {"id": "b-ff1", "panel": "p-aa1", "spaces": [6, 8], "rating_a": 60, "poles": 2,
                            "role": "feeder"},
                {"id": "b-mw1", "panel": "p-aa1", "spaces": [10, 12], "rating_a": 20, "poles": 2}]  # fmt: skip
    multiwire = [{"id": f"c-mw{n}", "name": f"Multiwire {n}", "breaker": "b-mw1"} for n in (1, 2)]
    panels = [PANEL, {"id": "p-bb1", "fed_by": "b-ff1", "spaces": 12},
              {"id": "p-cc1", "fed_by": "t-aa1", "spaces": 12}]  # fmt: skip
    transfer = {"id": "t-aa1", "kind": "manual switch"}
    if chance.random() < 0.5:
        transfer["normal"] = chance.choice(["b-ff1", "service"])
    sources: list[dict[str, Any]] = [
        {"id": "s-aa1", "kind": "solar", "breaker": "b-rr1"},
        {"id": "s-bb1", "kind": "battery"},
    ]
    if chance.random() < 0.5:
        sources[1] |= {"joins": "supply side", "output_a": 32, "volts": 240}
    gear = GEAR | (
        {"taps": chance.choice(["a breaker", "fuses in the leads", "none"])} if chance.random() < 0.7 else {}
    )
    return {
        "breakers": [{k: v for k, v in each.items() if k in ("id", "panel", "role") or chance.random() < 0.85}
                     for each in breakers],
        "circuits": [{k: v for k, v in each.items() if k in ("id", "name") or chance.random() < 0.85}
                     for each in [*CIRCUITS, *multiwire]],
        "panels": panels, "transfers": [transfer], "sources": sources, "gear": [gear],
        "system": chance.choice(SYSTEMS), "new": chance.random() < 0.8,
    }  # fmt: skip


@pytest.mark.parametrize("seed", range(8))
def test_every_rule_answers_whatever_is_known(seed: int) -> None:
    chance = random.Random(seed)
    outcomes: Counter[Outcome] = Counter()
    for _ in range(6):
        told = house(chance)
        found = assessed(*(by_chance(chance, n) for n in range(6)), **told)
        things = {each.id: (name, each) for name in COLLECTIONS for each in getattr(found.at.house, name)}
        for check in found.metering.checks:
            outcomes[check.outcome] += 1
            assert bool(check.missing) is (check.outcome is Outcome.CANNOT_TELL), check
            assert (check.remedy is not None) is (check.outcome is Outcome.FAILS), check
            for each in check.missing:
                ident, _, field = each.path.partition("/")[2].partition(".")
                if each.path.startswith("before.complete/"):
                    assert each.path.partition("/")[2] in Complete.model_fields
                elif each.path.startswith("before.service/"):
                    assert each.path.partition("/")[2].split(".")[0] in Service.model_fields
                else:
                    thing = things[ident][1]
                    assert field in type(thing).model_fields, (check.id, each.path)
                    assert getattr(thing, field) in (None, (), "unknown"), (check.id, each.path)
    assert set(outcomes) == set(Outcome)
