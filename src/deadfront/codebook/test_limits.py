"""Limits of tests on site: figures of standards, of the trade, and our own, each with its origin."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Any, Literal

from deadfront.worksheet.cite import Cite

__test__ = False  # a module of limits, not of tests


@dataclass(frozen=True, slots=True)
class TestLimit:
    """One limit.

    Args:
        key: Its name.
        value: The figure, in `unit`.
        origin: "standard", "practice" (common practice of the trade) or "own" (our own figure).
        cites: Where it stands; empty where it is in no standard.
    """

    __test__ = False

    key: str
    value: Decimal
    unit: str
    origin: Literal["standard", "practice", "own"]
    cites: tuple[Cite, ...] = ()


def _limit(key: str, row: Mapping[str, Any]) -> TestLimit:
    cites: tuple[Cite, ...] = ()
    if row["origin"] == "standard":
        cites = (Cite(row["section"], "", row["code"], row["status"], row["source"]),)
    return TestLimit(key, Decimal(row["value"]), row["unit"], row["origin"], cites)


@cache
def limits_of_tests() -> Mapping[str, TestLimit]:
    """All limits by name."""
    text = resources.files("deadfront.codebook").joinpath("data/test_limits.toml").read_text("utf-8")
    return {key: _limit(key, row) for key, row in tomllib.loads(text, parse_float=Decimal).items()}
