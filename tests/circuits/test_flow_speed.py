"""Time of fault currents and voltage drops of a 40-circuit house, worked before, against the load answer's own."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from deadfront.circuits.rules.flows.drops import voltage_drops, with_drops
from deadfront.circuits.rules.flows.fault_points import fault_points
from deadfront.circuits.rules.runs.answer import runs_of
from deadfront.circuits.rules.runs.cases import cases_of
from deadfront.codebook import open_book
from deadfront.job.things import House
from deadfront.loads.rules.answer import load_answer
from deadfront.loads.rules.context import Context
from tests.circuits.flow_houses import at_step, facts_of, service_house

ROUNDS = 12


def forty_circuits() -> House:
    """Forty circuits in two panels, each with its cable and load."""
    breakers: list[dict[str, Any]] = [
        {"id": "b-sub", "panel": "p-main", "spaces": [41, 43], "rating_a": 90, "poles": 2}
    ]
    circuits, loads = [], []
    for k in range(40):
        ident = f"{k:02}x"
        panel = "p-main" if k < 30 else "p-sub"
        breakers.append({"id": f"b-{ident}", "panel": panel, "spaces": [k + 1], "rating_a": 20, "poles": 1})
        cable = {"type": "NM-B", "size": "12", "metal": "copper", "length_ft": 40 + k}
        circuits.append({"id": f"c-{ident}", "breaker": f"b-{ident}", "cable": cable})
        loads.append(
            {"id": f"l-{ident}", "kind": "other", "circuit": f"c-{ident}", "nameplate_w": 900 + k, "volts": 120}
        )
    feeder = {"type": "SER", "size": "2", "metal": "aluminum", "length_ft": 60}
    panels = [{"id": "p-main", "fed_by": "service"}, {"id": "p-sub", "fed_by": "b-sub", "feeder": feeder}]
    return service_house(transformer={"kva": 50}, panels=panels, breakers=breakers, circuits=circuits, loads=loads)


def quickest(work: Callable[[], object]) -> float:
    """The quickest of several runs [s]."""
    found = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)


def test_flows_cost_less_than_the_loads() -> None:
    house, book = forty_circuits(), open_book("2023")
    facts = facts_of(house, [each.id for each in house.circuits])
    facts = replace(facts, cases=cases_of(facts))
    facts = replace(facts, runs=runs_of(facts))

    def flows() -> None:
        fresh = replace(facts)
        drops = voltage_drops(fresh)
        assert len(fault_points(fresh)) == 5 and len(with_drops(fresh.runs, drops)) >= 42
        assert len(drops) == 42

    loads = quickest(lambda: load_answer(Context(book, at_step(house), frozenset(), {}, True), None))
    assert quickest(flows) < loads
