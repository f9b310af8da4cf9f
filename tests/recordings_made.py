"""An invented year of quarter hours, told in CSV: what the tests of the measured demand and the how-to page read."""

from __future__ import annotations

import random
from datetime import datetime, timedelta


def made_year(days: int = 365, seed: int = 5, peak_kwh: float = 1.565) -> str:
    """Evenings above the rest, one planted quarter hour that is the largest: 1.565 kWh is 6,260 W."""
    chance, at = random.Random(seed), datetime(2025, 1, 1)
    rows = ["Start time,Usage (kWh)"]
    for number in range(days * 96):
        evening = 17 <= at.hour < 23
        used = 0.12 + 0.05 * chance.random() + (0.5 if evening else 0.12) * chance.random()
        if number == 10 * 96 + 76:  # January 11, 19:00
            used = peak_kwh
        rows.append(f"{at:%Y-%m-%d %H:%M},{used:.3f}")
        at += timedelta(minutes=15)
    return "\n".join(rows) + "\n"
