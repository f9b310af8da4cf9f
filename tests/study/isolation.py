"""Isolation: random networks, the fewest locks by brute force over all sets, dead by brute force over all states.

Seeds are 0, 1, 2 ... of `tests.isolation.random_networks.trial`. Every device of every plan is taken away once, and the
checker must then find the zone live.
"""

from __future__ import annotations

from collections import Counter

from tests.isolation.trials import held

NETWORKS = 12_000
HEAD = """## Isolation

{count} random networks (seeds 0 to {last}): 4 to 9 places, one to three feeds, up to two pieces of transfer equipment.
*Bridged*: every throw counts as closed, the plan that is shown. *Trusting*: transfer equipment known to exclude is
trusted, the plan that explains. Each plan is held against all sets of locks (fewest) and all states of all switches
(dead), and checked once more by a checker of its own; every device of every plan was taken away once, and the checker
found the zone live.

| plan | solvable | with locks | not solvable |
|---|---|---|---|"""


def run(out: list[str], networks: int = NETWORKS) -> None:
    """Hold the networks and write the table."""
    count: Counter[str] = Counter()
    for seed in range(networks):
        count += held(seed)
    out.append(HEAD.format(count=networks, last=networks - 1))
    for word in ("bridged", "trusting"):
        cells = (count[f"{word} solvable"], count[f"{word} with locks"], count[f"{word} unsolvable"])
        out.append(f"| {word} | {cells[0]} | {cells[1]} | {cells[2]} |")
    out.append("")
    out.append(
        f"Networks with equipment that excludes: {count['transfer']} ({100 * count['transfer'] // networks} %). "
        f"Solvable, not by having nothing to do: {100 * count['bridged with locks'] // networks} %. "
        f"Devices taken away: {count['removed']}. **Differences from brute force: {count['mismatch']}.**"
    )
