"""Load engine: two engines on 20,000 houses an edition, ranges against dense samples, every table cell changed."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ProcessPoolExecutor

from deadfront.codebook.editions import EDITIONS
from tests.laws.inside import sweep
from tests.loads.compare import Agreement, compare_many
from tests.loads.perturb import caught_by_edition

HOUSES = 20_000
BLANK_HOUSES, SAMPLES = 300, 20
FIRST_SEED = 1_000_000


TOLD = {
    "compared": """## Load rules

Two engines, {houses:,} invented houses an edition: every total, neutral, ampere figure, next standard service and
refusal equal; 0 differences.
""",
    "held": """
Ranges, {blanks:,} houses with blanks an edition, {samples} fillings each: every exact answer inside its range, every
verdict said with blanks true of all fillings; 0 exceptions.
""",
    "changed": """
Every cell of the load tables changed, one at a time: how many a published case or the second engine catches.
What neither catches is named.

| edition | cells | by a published case | by the second engine | by either | not caught |
|---|---|---|---|---|---|
""",
}


def _compare(edition: str, houses: int) -> tuple[Counter[str], list[str]]:
    found = compare_many(edition, range(FIRST_SEED, FIRST_SEED + houses))
    return found.counts, found.differences


def _ranges(edition: str, houses: int) -> tuple[Counter[str], list[str]]:
    found, counts = sweep(edition, range(FIRST_SEED, FIRST_SEED + houses), SAMPLES)
    return counts, found


def table(head: str, counts: dict[str, Counter[str]]) -> list[str]:
    """Counts of every edition side by side."""
    names = sorted(set().union(*counts.values()))
    lines = [f"| {head} | {' | '.join(counts)} |", "|---" * (len(counts) + 1) + "|"]
    return lines + [f"| {name} | {' | '.join(f'{one[name]:,}' for one in counts.values())} |" for name in names]


def run(
    out: list[str], houses: int = HOUSES, blanks: int = BLANK_HOUSES, tables_of: tuple[str, ...] = EDITIONS
) -> None:
    """Both comparisons for every edition; a difference stops the study."""
    with ProcessPoolExecutor(max_workers=2) as pool:
        compared = {e: pool.submit(_compare, e, houses) for e in EDITIONS}
        ranged = {e: pool.submit(_ranges, e, blanks) for e in EDITIONS}
        changed = {e: pool.submit(caught_by_edition, e) for e in tables_of}
        every = Agreement()
        for edition in EDITIONS:
            counts, differences = compared[edition].result()
            every.add(Agreement(counts, differences))
            every.differences += ranged[edition].result()[1]
        if every.differences:
            raise AssertionError("\n".join(every.differences[:20]))
        out += TOLD["compared"].format(houses=houses).splitlines() + [""]
        out += table("compared", {e: compared[e].result()[0] for e in EDITIONS})
        out += TOLD["held"].format(blanks=blanks, samples=SAMPLES).splitlines() + [""]
        out += table("held", {e: ranged[e].result()[0] for e in EDITIONS})
        out += TOLD["changed"].splitlines()
        out += [one.result().row() for one in changed.values()]
