"""A thousand random networks: the fewest locks by brute force over all sets, dead by brute force over all states."""

from __future__ import annotations

from collections import Counter

from deadfront.isolation.rules.checker import verdict
from deadfront.isolation.rules.cut import fewest_locks
from tests.isolation.random_networks import live_somewhere, trial
from tests.isolation.trials import held


def test_a_thousand_random_networks_agree_with_brute_force() -> None:
    count: Counter[str] = Counter()
    for seed in range(1000):
        count += held(seed)
    print(dict(count))
    assert count["mismatch"] == 0
    assert count["bridged with locks"] >= 250  # a quarter solvable, and not by having nothing to do
    assert count["transfer"] >= 250
    assert count["near differs"] >= 50  # there was a choice to make


def test_the_checker_agrees_with_brute_force_on_locks_that_are_no_plan() -> None:
    said: Counter[bool] = Counter()
    for seed in range(300):
        case = trial(seed)
        locks = [each.id for each in case.network.devices if each.lockable is True and each.opens][:2]
        for trusting in (False, True):
            dead = verdict(case.network, locks, case.targets, trusting=trusting).dead
            assert dead is not live_somewhere(case, frozenset(locks), trusting)
            said[dead] += 1
    assert min(said.values()) >= 30


def test_a_device_that_takes_no_lock_is_no_plan() -> None:
    for seed in range(200):
        case = trial(seed)
        plan = fewest_locks(case.network, case.targets) or ()
        for each in case.network.devices:
            if each.lockable is not True or not each.opens:
                assert each.id in verdict(case.network, (*plan, each.id), case.targets).not_locks
