"""Rule modules of a stage, found by looking into its folder: each says the ids of its checks and makes them."""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterable
from functools import lru_cache
from types import ModuleType
from typing import Any, Generic, NamedTuple, TypeVar

from deadfront.worksheet.check import Check

F = TypeVar("F")


class RuleModule(NamedTuple):
    """A rule: the ids of the checks it can make, and what makes them of a stage's facts."""

    name: str
    ids: tuple[str, ...]
    checks: Callable[[Any], Iterable[Check]]


@lru_cache(maxsize=32)
def modules_in(folder: ModuleType) -> tuple[tuple[str, ModuleType], ...]:
    """Every module of a package with its name, in the order of their names."""
    names = sorted(found.name for found in pkgutil.iter_modules(folder.__path__))
    return tuple((name, pkgutil.resolve_name(f"{folder.__name__}.{name}")) for name in names)


class Registry(Generic[F]):
    """Every rule of one folder, held against the facts of its stage."""

    def __init__(self, folder: ModuleType) -> None:
        self.folder = folder
        self._found: tuple[RuleModule, ...] | None = None

    def rule_modules(self) -> tuple[RuleModule, ...]:
        """All rules there are; loaded when first asked for."""
        if self._found is None:
            self._found = tuple(RuleModule(name, tuple(m.IDS), m.checks) for name, m in modules_in(self.folder))
        return self._found

    def check_ids(self) -> tuple[str, ...]:
        """Ids of every check that a rule of this stage can make."""
        return tuple(sorted({ident for module in self.rule_modules() for ident in module.ids}))

    def all_checks(self, facts: F) -> tuple[Check, ...]:
        """Every check of every rule on one house."""
        return tuple(check for module in self.rule_modules() for check in module.checks(facts))
