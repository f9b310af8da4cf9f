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


def made_legs(days: int = 31, seed: int = 6) -> str:
    """Both legs of a house by the quarter hour; the largest are planted at different times: L1 4.8 kW, L2 4.1 kW."""
    chance, at = random.Random(seed), datetime(2025, 1, 1)
    rows = ["Time,L1 kW,L2 kW"]
    for number in range(days * 96):
        evening = 17 <= at.hour < 23
        first = 0.4 + chance.random() * (2.4 if evening else 0.7)
        second = 0.3 + chance.random() * (1.6 if evening else 0.5)
        if number == 9 * 96 + 36:  # January 10, 09:00
            first = 4.8
        if number == 13 * 96 + 80:  # January 14, 20:00
            second = 4.1
        rows.append(f"{at:%Y-%m-%d %H:%M},{first:.3f},{second:.3f}")
        at += timedelta(minutes=15)
    return "\n".join(rows) + "\n"
