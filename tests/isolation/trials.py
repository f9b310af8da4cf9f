"""One random network held against the slow way, and what to count of it."""

from __future__ import annotations

from collections import Counter

from deadfront.isolation.rules.checker import verdict
from deadfront.isolation.rules.cut import fewest_locks
from deadfront.isolation.rules.exact import fewest_trusting
from deadfront.topology.states import live
from tests.isolation.random_networks import Trial, fewest_by_trying, live_somewhere, trial


def held(seed: int, every_state: bool = True) -> Counter[str]:
    """Plan both ways, compare with brute force; what comes out different stands under "mismatch"."""
    case, count = trial(seed), Counter({"trials": 1})
    count["transfer"] += case.has_transfer
    for trusting in (False, True):
        plan = (fewest_trusting if trusting else fewest_locks)(case.network, case.targets)
        truth = fewest_by_trying(case, trusting)
        word = "trusting" if trusting else "bridged"
        if (None if plan is None else len(plan)) != truth:
            count["mismatch"] += 1
            continue
        if plan is None:
            count[f"{word} unsolvable"] += 1
            continue
        count[f"{word} solvable"] += 1
        if not trusting:
            count += _near(case, plan)
        count[f"{word} with locks"] += bool(plan)
        count["mismatch"] += every_state and live_somewhere(case, frozenset(plan), trusting)
        count["mismatch"] += not verdict(case.network, plan, case.targets, trusting=trusting).holds
        for gone in plan:
            left = [each for each in plan if each != gone]
            count["removed"] += 1
            count["mismatch"] += verdict(case.network, left, case.targets, trusting=trusting).dead
    return count


def _near(case: Trial, far: tuple[str, ...]) -> Counter[str]:
    """The set nearest to the work: as few, dead in every state, and no less of the network on."""
    near = fewest_locks(case.network, case.targets, near_work=True) or ()
    same = len(near) == len(far) and not live_somewhere(case, frozenset(near), trusting=False)
    on = live(case.network, far) <= live(case.network, near)
    return Counter({"near": 1, "near differs": set(near) != set(far), "mismatch": not (same and on)})
