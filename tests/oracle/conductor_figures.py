"""What outside figures say of conductor tables: the printed effective impedance, resistance times area, two rows.

`doubts` gives every cell that an outside figure contradicts; the tables as they stand have none.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

Rows = list[dict[str, Any]]
FILE = Path(__file__).parent / "effective_impedance.csv"
RACEWAYS, METALS = ("pvc", "aluminum", "steel"), ("copper", "aluminum")
COS, SIN = 0.85, (1 - 0.85**2) ** 0.5
# published: the constants of copper and aluminum at 75 C, about 12.9 and 21.2 ohm-cmil/ft; stranding adds 2 percent
OHM_CMIL = {"copper": (12.5, 13.2), "coated_copper": (12.8, 14.0), "aluminum": (20.6, 21.6)}


def effective() -> Mapping[str, dict[str, str]]:
    """The printed effective impedance at power factor 0.85 [ohm/kft] by size: a column this program does not use."""
    with FILE.open(encoding="utf-8") as file:
        return {row["size"]: row for row in csv.DictReader(file)}


def rounding(printed: str) -> float:
    """Half of the last printed digit, and what rounded R and X can add."""
    digits = len(printed.partition(".")[2])
    return 0.5 * 10.0**-digits


def doubts_of_impedance(rows: Rows) -> Iterator[tuple[str, str]]:
    """Cells (size, column) that the printed effective impedance contradicts, or the ratio of steel to other raceways.

    Common practice: steel raises the reactance by about a quarter; PVC and aluminum are one printed column.
    """
    printed = effective()
    for row in rows:
        pvc, aluminum, steel = (row[f"x_{raceway}_ohm_per_kft"] for raceway in RACEWAYS)
        if pvc != aluminum or not Decimal("1.22") <= steel / pvc <= Decimal("1.28"):
            yield row["size"], "x"
        for metal in METALS:
            for raceway in RACEWAYS:
                told = printed[row["size"]][f"{metal}_{raceway}"]
                r, x = row[f"{metal}_r_{raceway}_ohm_per_kft"], row[f"x_{raceway}_ohm_per_kft"]
                if not told or r is None:
                    continue
                gap = abs(float(r) * COS + float(x) * SIN - float(told))
                if gap > rounding(told) * 1.1 + 0.5 * last_digit(r) * COS + 0.0005 * SIN:
                    yield row["size"], f"{metal}_r_{raceway}_ohm_per_kft"


def last_digit(value: Decimal) -> float:
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    return 10.0**exponent


def doubts_of_resistance(rows: Rows) -> Iterator[tuple[str, str]]:
    """Cells of direct-current resistance off the constant of their metal, or out of order from size to size."""
    for row in rows:
        for metal, (low, high) in OHM_CMIL.items():
            ohm = row[f"{metal}_ohm_per_kft"]
            constant = float(ohm) * float(row["area_cmil"]) / 1000
            if not low <= constant <= high:
                yield f"{row['size']} {row['construction']}", metal
