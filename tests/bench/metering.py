"""The proof of 42 current transformers after one more reading typed, against reading the steps alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from deadfront.metering.rules.step_signal import stepped
from deadfront.metering.rules.steps import proof
from deadfront.msg import said
from deadfront.results.proof import Conductor, LoadStep, ProofChannel, ProofPlan, Reading
from tests.bench.run import taken

CIRCUITS, LIMIT_MS = 40, 100.0
LEGS = ("L1", "L2")
Measured = tuple[str, float, str, float, str, float | None]


def large_walk() -> tuple[ProofPlan, list[LoadStep]]:
    """Forty circuits and both mains legs, each circuit stepped once, every channel read in every step."""
    paths = {Conductor("service", leg): (Conductor("service", leg),) for leg in LEGS}
    own = [Conductor(f"c-{n:02d}", LEGS[n % 2]) for n in range(CIRCUITS)]
    paths |= {each: (each, Conductor("service", each.leg)) for each in own}
    channels = [ProofChannel(f"ch-{n:02d}", said("thing.named", name=str(n)), each, each.leg)
                for n, each in enumerate([*own, *(Conductor("service", leg) for leg in LEGS)])]  # fmt: skip
    steps = []
    for each in own:
        shown = {c.id: 1000 if c.conductor in paths[each] else 0 for c in channels}
        readings = tuple(Reading(ident, Decimal(7), Decimal(7 + watts)) for ident, watts in shown.items())
        steps.append(LoadStep(each.of, (each.leg,), Decimal(1000), readings))
    return ProofPlan(tuple(channels), paths), steps


def rows() -> Iterator[Measured]:
    """What was measured, its figure, unit, noise, ratio in words, and limit."""
    plan, steps = large_walk()
    last = replace(steps[-1], readings=steps[-1].readings[:-1])
    yard, _ = taken(lambda: [stepped(plan, each) for each in steps], 20)
    best, noise = taken(lambda: proof(plan, [*steps[:-1], last]), 20)
    ratio = f"{best / yard:.1f} x reading the steps"
    yield "a reading typed to every verdict", best * 1e3, "ms", noise * 1e3, ratio, LIMIT_MS
