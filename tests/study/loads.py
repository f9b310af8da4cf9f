"""Load engine: two engines on 20,000 houses an edition, ranges against dense samples, every table cell changed."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ProcessPoolExecutor

from deadfront.codebook.editions import EDITIONS
from tests.laws.inside import sweep
from tests.loads.compare import Agreement, compare_many
from tests.loads.perturb import caught_by_edition

HOUSES = 20_000
BLANK_HOUSES, SAMPLES = 1_000, 20
FIRST_SEED = 1_000_000


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
        out += ["## Load rules", "", f"Two engines, {houses:,} invented houses an edition: every total, neutral, ampere",
                "figure, next standard service and refusal equal; 0 differences.", ""]  # fmt: skip
        out += table("compared", {e: compared[e].result()[0] for e in EDITIONS})
        out += ["", f"Ranges, {blanks:,} houses with blanks an edition, {SAMPLES} fillings each: every exact answer inside",
                "its range, every verdict said with blanks true of all fillings; 0 exceptions.", ""]  # fmt: skip
        out += table("held", {e: ranged[e].result()[0] for e in EDITIONS})
        out += ["", "Every cell of the load tables changed, one at a time: the share that a published case or the second",
                "engine's houses catch. What neither catches is named.", ""]  # fmt: skip
        out += ["| edition | cells | caught by a published case | caught by the second engine | by either | not caught |",
                "|---|---|---|---|---|---|"]  # fmt: skip
        out += [one.result().row() for one in changed.values()]
