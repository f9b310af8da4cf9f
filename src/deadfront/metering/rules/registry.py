"""Every rule module of `each`, found by looking into the folder, in the order of their names."""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import NamedTuple

from deadfront.metering.rules import each
from deadfront.metering.rules.facts import Facts
from deadfront.worksheet.check import Check


class RuleModule(NamedTuple):
    """A rule: the ids of the checks it can make, and what makes them."""

    name: str
    ids: tuple[str, ...]
    checks: Callable[[Facts], Iterable[Check]]


@lru_cache(maxsize=1)
def rule_modules() -> tuple[RuleModule, ...]:
    """All rules there are."""
    names = sorted(found.name for found in pkgutil.iter_modules(each.__path__))
    modules = [(name, pkgutil.resolve_name(f"{each.__name__}.{name}")) for name in names]
    return tuple(RuleModule(name, tuple(m.IDS), m.checks) for name, m in modules)


def check_ids() -> tuple[str, ...]:
    """Ids of every check that a rule of this stage can make."""
    return tuple(sorted({ident for module in rule_modules() for ident in module.ids}))


def all_checks(facts: Facts) -> tuple[Check, ...]:
    """Every check of every rule on one house."""
    return tuple(check for module in rule_modules() for check in module.checks(facts))
