"""Numbers as they are printed: thousands comma, ranges rounded outward, never an exponent."""

from __future__ import annotations

import tomllib
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from functools import cache
from importlib import resources
from typing import NamedTuple

from deadfront.quantities import Interval

PLAIN_DIGITS = 3
MOST_DIGITS = 9


class UnitStyle(NamedTuple):
    """How a unit is written and how many digits after the point its figures show at most."""

    say: str
    digits: int


@cache
def _units() -> dict[str, UnitStyle]:
    text = resources.files("deadfront.documents").joinpath("units.toml").read_text(encoding="utf-8")
    return {name: UnitStyle(row["say"], row["digits"]) for name, row in tomllib.loads(text).items()}


def unit_style(unit: str) -> UnitStyle:
    """The written form of a unit; a unit that the table lacks is written as it is named."""
    return _units().get(unit, UnitStyle(unit, PLAIN_DIGITS))


def unit_of_name(name: str) -> str:
    """The unit that a quantity's name ends in: "load_va" is in VA, "note" in none."""
    ending = name.rpartition("_")[2].lower()
    return next((unit for unit in _units() if unit.lower() == ending), "") if "_" in name else ""


def _places(value: Decimal) -> int:
    exponent = value.normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _rounded(value: Decimal, digits: int, rounding: str) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-digits), rounding=rounding)


def _shown_digits(values: list[Decimal], most: int) -> int:
    """Digits to show: none where all are whole, else the unit's; more where a value would print as zero."""
    digits = min(max(_places(v) for v in values), most)
    while digits < MOST_DIGITS and any(v != 0 and _rounded(v, digits, ROUND_HALF_UP) == 0 for v in values):
        digits += 1
    return digits


def number(value: Decimal | int, unit: str = "", digits: int | None = None, rounding: str = ROUND_HALF_UP) -> str:
    """One number without its unit.

    Args:
        value: The value.
        unit: Its unit, for the digits shown.
        digits: Exactly so many digits after the point, instead of the unit's.
        rounding: Half up, unless an end of a range asks for outward.
    Example:
        >>> number(Decimal("33563.25"), "VA"), number(Decimal("94.34"), "A"), number(Decimal("100.0"), "A")
        ('33,563', '94.3', '100')
    """
    exact = Decimal(value)
    shown = _shown_digits([exact], unit_style(unit).digits) if digits is None else digits
    return f"{_rounded(exact, shown, rounding):,f}"


def ends(value: Interval, unit: str = "", digits: int | None = None) -> tuple[str, str | None]:
    """Low and high of a range as printed: low rounded down and high up, so that it still holds the truth.

    An exact value comes back twice, rounded half up; an open high end as None.
    """
    if value.exact:
        text = number(value.low, unit, digits)
        return text, text
    known = [value.low] if value.high is None else [value.low, value.high]
    shown = _shown_digits(known, unit_style(unit).digits) if digits is None else digits
    high = None if value.high is None else number(value.high, unit, shown, ROUND_CEILING)
    return number(value.low, unit, shown, ROUND_FLOOR), high
