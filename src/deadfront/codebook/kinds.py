"""Kinds of loads: what each is for the rules, its usual volts, and what may be said before its nameplate is read."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Any


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of load.

    Args:
        name: As the job file writes it.
        group: cooking, dryer, fastened, evse, heat, heat_pump, cooling, air_handler or other.
        volts: Usual volts, 120 or 240 (240 means line to line; 208 on a wye system).
        neutral: Uses the neutral, unless the load says otherwise.
        motor: Is a motor for the largest-motor rule, unless the load says otherwise.
        resistive: A breaker bounds what it can draw: a resistance element alone on its circuit.
        typical: Least and greatest VA of common household sizes (common practice), for a first look only.
        typical_supplement: The same of a heat pump's electric supplemental heat.
        kept_closed: Never opened by load management: someone is hurt or sickened where it stops (common practice).
        volts_vary: Made for 120 V and for 240 V alike: amperes alone do not tell its load (common practice).
    """

    name: str
    group: str
    volts: int
    neutral: bool
    motor: bool
    resistive: bool
    typical: tuple[Decimal, Decimal] | None
    typical_supplement: tuple[Decimal, Decimal] | None = None
    volts_vary: bool = False
    kept_closed: bool = False


def _kind(name: str, row: Mapping[str, Any]) -> Kind:
    def span(field: str) -> tuple[Decimal, Decimal] | None:
        low, high = row.get(field, (None, None))
        return None if low is None or high is None else (Decimal(low), Decimal(high))

    return Kind(
        name, row["group"], row["volts"], row.get("neutral", row["volts"] == 120), row.get("motor", False),
        row.get("resistive", False), span("typical_va"), span("typical_supplement_va"), row.get("volts_vary", False),
        row.get("kept_closed", False),
    )  # fmt: skip


@cache
def load_kinds() -> Mapping[str, Kind]:
    """All kinds by name, in the order a survey asks for them."""
    text = resources.files("deadfront.codebook").joinpath("data/load_kinds.toml").read_text("utf-8")
    return {name: _kind(name, row) for name, row in tomllib.loads(text).items()}
