"""Fault current and voltage drop: 5,000 services against OpenDSS; cells of impedance tables changed one at a time."""

from __future__ import annotations

import random
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from deadfront.codebook import open_book
from tests.oracle.conductor_figures import doubts_of_impedance, doubts_of_resistance
from tests.oracle.random_services import gaps, random_service

SERVICES, SEED, CLOSE = 5000, 20260201, 1e-4
LARGER = Decimal("1.1")
HEAD = """## Faults, drops and neutral against OpenDSS

{services:,} random services (120/240 V with interlaced half windings, two legs of 208Y/120 V; one to four lengths;
loads of constant impedance, current and power): the widest relative gap between OpenDSS and the nodal solver. Steps on
paper are held against the nodal solver in the tests.

| faults | volts | voltage drop, of nominal | current of the neutral, of the largest |
|---|---|---|---|"""
CELLS = """
Every cell of the tables of conductor impedance made a tenth larger, one at a time (edition 2023): how many an outside
figure contradicts: the printed effective impedance at power factor 0.85, the reactance in steel against that in other
raceways, resistance times area. What none of them notices stands on the two sources it came from, and is named.

| table | cells | contradicted | not noticed |
|---|---|---|---|"""


def run(out: list[str], services: int = SERVICES) -> None:
    """Both; a gap above 1e-4 stops the study."""
    dice, widest = random.Random(SEED), dict.fromkeys(("fault", "volts", "drop", "neutral"), 0.0)
    for _ in range(services):
        for name, gap in gaps(random_service(dice)).items():
            widest[name] = max(widest[name], gap)
    assert max(widest.values()) <= CLOSE, widest
    out += HEAD.format(services=services).splitlines()
    out.append("| " + " | ".join(f"{gap:.1e}" for gap in widest.values()) + " |")
    out += CELLS.splitlines()
    for name, doubts in (
        ("conductor_impedance", doubts_of_impedance),
        ("conductor_resistance_dc", doubts_of_resistance),
    ):
        cells = list(changed(name))
        unseen = [cell for cell, rows in cells if not list(doubts(rows))]
        told = ", ".join(unseen) if unseen else "none"
        out.append(f"| `{name}` | {len(cells)} | {len(cells) - len(unseen)} | {told} |")


def changed(name: str) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """The rows of a table once for each cell of resistance or reactance, that cell a tenth larger; and its name."""
    rows = [dict(row) for row in open_book("2023").table(name).rows]
    for at, row in enumerate(rows):
        for column, cell in row.items():
            if column.endswith("_ohm_per_kft") and isinstance(cell, Decimal):
                copy = [dict(each) for each in rows]
                copy[at][column] = cell * LARGER
                yield f"{row['size']} {column.removesuffix('_ohm_per_kft')}", copy
