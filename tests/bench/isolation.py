"""The whole house: every step of its work planned, and the plan of its largest zone, against drawing its network."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from deadfront.isolation.rules.answer import isolation_answer, plan_of
from deadfront.job.house import house_at
from deadfront.job.read import read_job
from deadfront.topology.house_network import network_of
from tests.bench.run import taken

HOUSE = Path(__file__).resolve().parents[1] / "houses" / "full_house.toml"
LIMIT_MS = 50.0
Measured = tuple[str, float, str, float, str, float | None]


def rows() -> Iterator[Measured]:
    """What was measured, its figure, unit, noise, ratio in words, and limit."""
    job = read_job(HOUSE.read_text(encoding="utf-8")).job
    at = house_at(job, None)
    yard, _ = taken(lambda: network_of(at.house), 20)
    for what, work in (("isolation, all work planned", lambda: isolation_answer(job)),
                       ("isolation, main panel", lambda: plan_of(at, "p-1ma"))):  # fmt: skip
        best, noise = taken(work, 20)
        yield what, best * 1e3, "ms", noise * 1e3, f"{best / yard:.0f} x drawing its network", LIMIT_MS
