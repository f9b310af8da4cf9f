"""Numbers as files write them: decimal commas, thousands marks, a unit behind the figure."""

from __future__ import annotations

import re

from deadfront.recordings.mapping import UNITS

MAX_VALUE = 1e15
MAX_LETTERS = 48
_PLAIN = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?")
_WITH_UNIT = re.compile(r"^(?P<number>[+-]?[\d.,' \u00a0]*\d(?:[eE][+-]?\d{1,3})?)\s*(?P<unit>[A-Za-z]{1,5})$")
_BY_LOWER = {name.lower(): name for name in UNITS if name != "other"}


def unit_behind(text: str) -> tuple[str, str]:
    """A figure and the unit written behind it: ("1.2", "kWh"); the unit is "" where there is none or it is not known.

    Example:
        >>> unit_behind("1.2 kWh")
        ('1.2', 'kWh')
    """
    found = _WITH_UNIT.match(text.strip()) if len(text) <= MAX_LETTERS else None
    if found and (unit := _BY_LOWER.get(found["unit"].lower())):
        return found["number"], unit
    return text.strip(), ""


def read_number(text: str, decimal: str, thousands: str, unit: str = "") -> float | None:
    """The figure of a cell; None where it is none. A unit behind it must be the column's own, or its multiple.

    Example:
        >>> read_number("1.234,5", ",", ".")
        1234.5
        >>> read_number("1500 W", ".", "", "kW")
        1.5
    """
    text = text.strip()
    if len(text) > MAX_LETTERS:
        return None
    if not _PLAIN.fullmatch(text) or decimal != ".":
        text, written = unit_behind(text)
        if thousands:
            text = text.replace("\u00a0", " ").replace(thousands, "")
        if decimal == ",":
            if "." in text:
                return None
            text = text.replace(",", ".")
        if not _PLAIN.fullmatch(text):
            return None
        factor = _factor(written, unit)
    else:
        factor = 1.0
    if factor is None:
        return None
    value = float(text) * factor
    return value if abs(value) <= MAX_VALUE else None


def _factor(written: str, unit: str) -> float | None:
    if not written or written == unit:
        return 1.0
    if not unit or written.lstrip("kM") != unit.lstrip("kM"):
        return None
    return UNITS[written] / UNITS[unit]
