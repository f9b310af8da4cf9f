"""Feeders and the service: the 83 percent rule for the whole dwelling only, loads of a panel as an outer range."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.answer import run_of, runs_of
from deadfront.documents.circuit_sheets.schedule import schedule_answer
from deadfront.results.circuits import CircuitsResult
from deadfront.worksheet.check import Outcome
from tests.circuits.runs_made import all_of, ends, facts_from, sizes

COMPLETE = {"circuits": "yes"}
SER = {"type": "SER", "metal": "aluminum", "runs": ["wall"], "terminals_c": 75}


def feeder(rating_a: int, cable: dict[str, Any], *loads: dict[str, Any], also: bool = False, edition: str = "2023",
           **before: Any) -> Facts:  # fmt: skip
    """A panel p-bb fed by b-ff in p-aa; each load on a circuit of its own there; `also` one more circuit in p-aa."""
    on = [{"id": f"c-0{n}", "breaker": f"b-0{n}", "purpose": "individual"} for n in range(len(loads))]
    breakers = [{"id": f"b-0{n}", "panel": "p-bb", "poles": 2, "rating_a": 30} for n in range(len(loads))]
    breakers.append({"id": "b-ff", "panel": "p-aa", "poles": 2, "rating_a": rating_a, "role": "feeder"})
    if also:
        breakers.append({"id": "b-zz", "panel": "p-aa", "poles": 1, "rating_a": 20})
        on.append({"id": "c-zz", "breaker": "b-zz"})
    return facts_from({
        "complete": COMPLETE, "units": [{"id": "u-01", "floor_area_ft2": 1800}],
        "panels": [{"id": "p-aa", "fed_by": "service"}, {"id": "p-bb", "fed_by": "b-ff", "feeder": cable}],
        "breakers": breakers, "circuits": on,
        "loads": [{"id": f"l-0{n}", "circuit": f"c-0{n}", **load} for n, load in enumerate(loads)], **before,
    }, edition)  # fmt: skip


def touched(facts: Facts) -> Facts:
    """The same house, its panel in the work."""
    return replace(facts, cases={
        key: replace(case, reach=case.reach.__class__.NEW) for key, case in facts.cases.items()
    })  # fmt: skip


def test_whole_dwelling_feeder_by_83_percent() -> None:
    """Hand: 4/0 aluminum 180 A at 75 C: 180 / 0.83 = 217 A: a 200 A breaker."""
    facts = feeder(200, {**SER, "size": "4/0"}, {"kind": "dryer", "nameplate_w": 5000})
    made = run_of(facts.cases["p-bb"])
    assert facts.cases["p-bb"].whole_dwelling
    assert ends(made.breaker_most) == (200, 200) and sizes(made) == {"copper": "2/0", "aluminum": "4/0"}


def test_a_feeder_of_part_of_the_dwelling_gets_no_relief() -> None:
    """Hand: 4/0 aluminum 180 A: the next standard rating is 200 A; 2 AWG aluminum 90 A stays 90 A."""
    facts = feeder(200, {**SER, "size": "4/0"}, {"kind": "dryer", "nameplate_w": 5000}, also=True)
    assert not facts.cases["p-bb"].whole_dwelling
    assert sizes(run_of(facts.cases["p-bb"]))["aluminum"] == "4/0"
    part = run_of(feeder(125, {**SER, "size": "2"}, {"kind": "dryer", "nameplate_w": 5000}, also=True).cases["p-bb"])
    assert ends(part.breaker_most) == (90, 90)


def test_load_of_a_feeder_is_an_outer_range() -> None:
    """Hand: dryer 20.8 A and charger 32 A: at least 40 A (125 percent of the charger), at most 60.8 A."""
    loads = ({"kind": "dryer", "nameplate_w": 5000}, {"kind": "evse", "nameplate_a": 32})
    facts = feeder(60, {**SER, "size": "4"}, *loads, also=True)
    low, high = ends(run_of(facts.cases["p-bb"]).least)
    assert low == 40 and high is not None and round(high, 2) == Decimal("60.83")
    unknown = feeder(60, {**SER, "size": "4"}, *loads, also=True, complete={})
    assert ends(run_of(unknown.cases["p-bb"]).least) == (40, None)


@pytest.mark.parametrize(("rating_a", "outcome"), [(70, Outcome.MEETS), (60, Outcome.CANNOT_TELL), (30, Outcome.FAILS)])
def test_breaker_of_a_feeder(rating_a: int, outcome: Outcome) -> None:
    loads = ({"kind": "dryer", "nameplate_w": 5000}, {"kind": "evse", "nameplate_a": 32})
    facts = touched(feeder(rating_a, {**SER, "size": "2"}, *loads, also=True))
    assert {c.id: c.outcome for c in all_of(facts) if c.thing == "p-bb"}["feeder.breaker"] is outcome


def test_a_calculated_load_settles_a_feeder() -> None:
    """Hand: dryer 20.8 A and charger 40 A leave 60 A open; calculated 58 A fits 60 A, 62 A does not."""
    loads = ({"kind": "dryer", "nameplate_w": 5000}, {"kind": "evse", "nameplate_a": 32})
    facts = touched(feeder(60, {**SER, "size": "2"}, *loads, also=True))
    (open_,) = (c for c in all_of(facts) if c.id == "feeder.breaker")
    assert open_.outcome is Outcome.CANNOT_TELL
    assert [each.path for each in open_.missing] == ["before/p-bb.feeder_load_a"]
    for load_a, outcome in ((58, Outcome.MEETS), (62, Outcome.FAILS)):
        told = {key: replace(case, feeder_load_a=Decimal(load_a)) for key, case in facts.cases.items()}
        (check,) = (c for c in all_of(replace(facts, cases=told)) if c.id == "feeder.breaker")
        assert check.outcome is outcome


def test_the_service_is_a_run_by_the_load_stage() -> None:
    """Published (distributor's page on Table 310.12): 200 A: 2/0 copper, 4/0 aluminum."""
    facts = facts_from({"units": [{"id": "u-01", "floor_area_ft2": 1800}]})
    service = runs_of(facts)[-1]
    assert service.kind == "service" and sizes(service) == {"copper": "2/0", "aluminum": "4/0"}


def test_feeders_in_a_ring_end() -> None:
    facts = facts_from({
        "panels": [{"id": "p-aa", "fed_by": "b-02"}, {"id": "p-bb", "fed_by": "b-01"}],
        "breakers": [{"id": "b-01", "panel": "p-aa", "rating_a": 60, "poles": 2},
                     {"id": "b-02", "panel": "p-bb", "rating_a": 60, "poles": 2}],
    })  # fmt: skip
    assert {"p-aa", "p-bb"} <= set(facts.cases)
    list(all_of(facts))


def test_service_conductors_below_their_disconnect_are_in_their_row() -> None:
    """Hand: 350 kcmil aluminum 250 A by 0.83 is 301 A, so 300 A: not under 320 A."""

    def bad(size: str) -> list[str]:
        wires = {"size": size, "metal": "aluminum", "terminals_c": 75, "needs_correction": False}
        service = {"system": "120/240 1ph 3w", "disconnect": {"rating_a": 320}, "conductors": wires}
        facts = facts_from({"service": service, "units": [{"id": "u-01", "floor_area_ft2": 3000}],
                            "complete": {"units": "yes"}})  # fmt: skip
        result = CircuitsResult(runs=runs_of(facts))
        assert (schedule_answer(result, ()).outcome is Outcome.FAILS) == bool(runs_of(facts)[-1].checks)
        return [check.id for check in runs_of(facts)[-1].checks]

    assert bad("350") == ["load.service_conductors"] and bad("500") == []
