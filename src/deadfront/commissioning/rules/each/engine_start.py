"""Start of an engine by its signal: cranks, runs, stops, and is set to exercise."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, meets, read_step, seconds, yes

TEST = TestKind("engine_start", 105, (yes("starts"), seconds("start_s"), yes("stops"), yes("exercise_set"),
                yes("stop_switch")), cautions=("several_sources", "backup"), before=("bus_voltage",),
                alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every engine that is no portable set."""
    yield from (each.id for each in facts.at.house.sources if each.kind == "generator" and each.portable is not True)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Starts and stops by its signal; its stop switch stops it; its exercise is set."""
    steps = (read_step(TEST.key, readings["start_s"]),)
    for key in ("starts", "stops", "stop_switch", "exercise_set"):
        if not readings[key].yes:
            return fails(f"no_{key}", steps=steps)
    return meets(steps=steps, found=readings["start_s"].mean)
