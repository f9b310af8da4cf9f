"""Every test of `each`, found by looking into the folder, in the order of the walk."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

from deadfront.commissioning.rules import each
from deadfront.commissioning.rules.test_kind import Alarm, Due, Judge, TestKind
from deadfront.worksheet.rule_modules import modules_in


class Module(NamedTuple):
    """A test: what it is, where it is due, what its readings come to."""

    kind: TestKind
    due: Due
    judge: Judge
    alarm: Alarm | None = None


@lru_cache(maxsize=1)
def modules() -> tuple[Module, ...]:
    """All tests there are."""
    loaded: list[Any] = [module for _, module in modules_in(each)]
    return tuple(
        sorted(
            (Module(one.TEST, one.due, one.judge, getattr(one, "alarm", None)) for one in loaded),
            key=lambda one: one.kind.rank,
        )
    )


def check_ids() -> tuple[str, ...]:
    """Ids of every check of this stage."""
    return (*(f"commission.{module.kind.key}" for module in modules()), "commission.torque", "commission.record",
            "correction.item")  # fmt: skip
