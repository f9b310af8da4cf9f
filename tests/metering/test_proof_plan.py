"""The proof's plan of a house, and how long a verdict takes."""

from __future__ import annotations

import time
from decimal import Decimal

import pytest

from deadfront.codebook import open_book
from deadfront.errors import NotAllowed
from deadfront.job.house import house_at
from deadfront.metering.rules.proof_plan import proof_plan
from deadfront.metering.rules.steps import proof
from deadfront.metering.rules.typed_steps import walk_of
from deadfront.msg import said
from deadfront.results.proof import Conductor, LoadStep, ProofChannel, ProofPlan, Reading
from deadfront.worksheet.check import Outcome
from tests.metering.metered import BREAKERS, CIRCUITS, GOOD, PANEL, job

FEED = [
    {"id": "b-ff1", "panel": "p-aa1", "spaces": [6, 8], "rating_a": 60, "poles": 2, "role": "feeder"},
    {"id": "b-ff2", "panel": "p-bb1", "spaces": [3], "rating_a": 20, "poles": 1},
]
GARAGE = {"id": "p-bb1", "name": "Garage", "fed_by": "b-ff1", "spaces": 12, "numbering": "odd left"}
SHOP = {"id": "c-ff2", "name": "Shop", "breaker": "b-ff2"}


def plan() -> ProofPlan:
    made = job([GOOD, GOOD | {"id": "ch-aa2", "measures": "p-bb1", "leg": "L2", "voltage_leg": "L2", "input": "9"}],
               panels=[PANEL, GARAGE], breakers=[*BREAKERS, *FEED], circuits=[*CIRCUITS, SHOP])  # fmt: skip
    return proof_plan(open_book("2023"), house_at(made, None))


def test_the_current_of_a_circuit_passes_its_feeder_and_the_service() -> None:
    # hand: space 3 stands in the second row, the second leg
    found = plan()
    assert found.paths[Conductor("c-ff2", "L2")] == (
        Conductor("c-ff2", "L2"), Conductor("p-bb1", "L2"), Conductor("service", "L2")
    )  # fmt: skip
    assert found.paths[Conductor("c-kk1", "L1")] == (Conductor("c-kk1", "L1"), Conductor("service", "L1"))
    assert set(found.paths) >= {Conductor("c-rr1", "L1"), Conductor("c-rr1", "L2"), Conductor("p-bb1", "L1")}
    assert found.channels[0].conductor == Conductor("c-kk1", "L1") and found.channels[1].role == "feeder"


def test_one_hot_of_a_breaker_of_two_poles_names_its_leg() -> None:
    pair = {"id": "b-mw1", "panel": "p-aa1", "spaces": [9, 11], "rating_a": 20, "poles": 2}
    shared = [{"id": f"c-mw{n}", "name": f"Half {n}", "breaker": "b-mw1"} for n in (1, 2)]
    channel = GOOD | {"measures": "c-mw1", "leg": "L1", "voltage_leg": "L1"}
    made = job([channel], breakers=[*BREAKERS, pair], circuits=[*CIRCUITS, *shared])
    found = proof_plan(open_book("2023"), house_at(made, None))
    assert found.one_hot == {"c-mw1", "c-mw2"}
    walk_of(found, [{"circuit": "Half 2", "watts": "1000", "leg": "L2"}])
    with pytest.raises(NotAllowed):
        walk_of(found, [{"circuit": "Half 2", "watts": "1000"}])


def test_a_leg_that_is_only_planned_proves_nothing() -> None:
    no_spaces = [{key: value for key, value in each.items() if key != "spaces"} for each in BREAKERS]
    found = proof_plan(open_book("2023"), house_at(job([GOOD], breakers=no_spaces), None))
    assert Conductor("c-kk1", "L1") not in found.paths
    with pytest.raises(NotAllowed) as refused:
        walk_of(found, [{"circuit": "c-kk1", "watts": "1000"}])
    assert refused.value.msg.key == "proof.walk.no_leg"


def test_a_feeder_is_told_from_its_circuit_by_a_second_step() -> None:
    def read(*watts: tuple[str, str]) -> tuple[Reading, ...]:
        return tuple(Reading(each, Decimal(0), Decimal(after)) for each, after in watts)

    first = LoadStep("c-ff2", ("L2",), Decimal(1500), read(("ch-aa1", "0"), ("ch-aa2", "1490")), Decimal("12.5"))
    second = LoadStep("c-kk1", ("L1",), Decimal(1200), read(("ch-aa1", "1195"), ("ch-aa2", "0")), Decimal("10.0"))
    third = LoadStep("c-kk2", ("L2",), Decimal(1000), read(("ch-aa1", "0"), ("ch-aa2", "0")), Decimal("8.3"))
    verdicts = proof(plan(), [first, second, third])
    assert verdicts[1].key == "place_unsure", "circuit and feeder carried the same step"
    assert {each.conductors[0].of for each in verdicts[1].causes} == {"c-ff2", "p-bb1"}


def test_a_verdict_within_a_tenth_of_a_second() -> None:
    """Forty circuits with a channel each, all of them stepped: the whole proof after one more reading."""
    legs = ("L1", "L2")
    paths = {Conductor("service", leg): (Conductor("service", leg),) for leg in legs}
    own = [Conductor(f"c-{n:02d}", legs[n % 2]) for n in range(40)]
    paths |= {each: (each, Conductor("service", each.leg)) for each in own}
    channels = [ProofChannel(f"ch-{n:02d}", said("thing.named", name=str(n)), each, each.leg)
                for n, each in enumerate([*own, *(Conductor("service", leg) for leg in legs)])]  # fmt: skip
    steps = []
    for each in own:
        shown = {c.id: 1000 if c.conductor in paths[each] else 0 for c in channels}
        readings = tuple(Reading(ident, Decimal(7), Decimal(7 + watts)) for ident, watts in shown.items())
        steps.append(LoadStep(each.of, (each.leg,), Decimal(1000), readings))
    whole = ProofPlan(tuple(channels), paths)
    took = []
    for _ in range(3):
        start = time.perf_counter()
        verdicts = proof(whole, steps)
        took.append(time.perf_counter() - start)
    assert all(each.outcome is Outcome.MEETS for each in verdicts)
    print(f"42 channels, 40 steps: {min(took) * 1000:.0f} ms")
    assert min(took) < 0.1
