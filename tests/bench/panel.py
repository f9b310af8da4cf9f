"""One judgment of a layout with 42 spaces: realistic panels as found, and the same with every breaker one space on."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable, Iterator
from decimal import Decimal

from deadfront.panel.rules.judge import judge
from deadfront.results.panel import Layout, PanelCase, Place
from tests.panel.made import realistic_case

SPACES, PANELS, TIMES = 42, 20, 30
LIMIT_MS = 1.0


def shifted(case: PanelCase) -> Layout:
    """Every breaker one space on: nearly every rule is broken, which is the most the judge has to say."""
    return {ident: Place(tuple(space + 1 for space in each.spaces), each.half) for ident, each in case.found().items()}


def yardstick() -> object:
    """A thousand decimal divisions and additions."""
    value = Decimal(0)
    for number in range(1, 1001):
        value += Decimal(number) / 7
    return value


def times_ms(work: Callable[[], object]) -> list[float]:
    """Times of several runs, the shortest first [ms]."""
    runs = []
    for _ in range(TIMES):
        started = time.perf_counter()
        work()
        runs.append(1000 * (time.perf_counter() - started))
    return sorted(runs)


def rows() -> Iterator[tuple[str, float, str, float, str, float | None]]:
    """The line of the bench: the slowest layout at its best time; noise: how far its middle time lies above."""
    gc.collect()
    unit = times_ms(yardstick)[0]
    slowest, noise = 0.0, 0.0
    for seed in range(PANELS):
        case = realistic_case(SPACES, seed)
        for layout in (case.found(), shifted(case)):
            runs = times_ms(lambda case=case, layout=layout: judge(case, layout))  # type: ignore[misc]
            if runs[0] > slowest:
                slowest, noise = runs[0], statistics.median(runs) - runs[0]
    told = f"{slowest / unit:.1f} x a thousand decimal divisions; slowest of {2 * PANELS} layouts"
    yield f"judge a layout of {SPACES} spaces", slowest, "ms", noise, told, LIMIT_MS


if __name__ == "__main__":
    for row in rows():
        print(*row)
