"""Ranges of exact numbers, conductor sizes, and reading quantities as they are typed.

Code arithmetic is in Decimal. A range is an outer interval: the true value lies inside it.
Units stand in names: load_va, current_a, floor_area_ft2.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal, InvalidOperation

ZERO = Decimal(0)
Number = Decimal | int | str


def dec(value: Number) -> Decimal:
    """The exact Decimal of an int, string or Decimal; never of a float."""
    if isinstance(value, float):
        raise TypeError("quantities are exact: give a string or Decimal, not a float")  # words-ok
    return value if type(value) is Decimal else Decimal(value)


@dataclass(frozen=True, slots=True)
class Interval:
    """All values from low to high; high None means no upper limit is known. Never negative.

    Raises:
        ValueError: low is negative or above high.
    """

    low: Decimal
    high: Decimal | None

    def __post_init__(self) -> None:
        if self.low < 0 or (self.high is not None and self.high < self.low):
            raise ValueError(f"not a range: {self.low} to {self.high}")

    @property
    def exact(self) -> bool:
        """True where low and high are one value."""
        return self.high is not None and self.low == self.high

    def __add__(self, other: Interval) -> Interval:
        high = None if self.high is None or other.high is None else self.high + other.high
        return Interval(self.low + other.low, high)

    def __mul__(self, other: Interval) -> Interval:
        if self.high is None or other.high is None:
            high = ZERO if self.high == ZERO or other.high == ZERO else None
        else:
            high = self.high * other.high
        return Interval(self.low * other.low, high)

    def divided_by(self, other: Interval) -> Interval:
        """The quotient; the divisor's low must be above zero."""
        low = ZERO if other.high is None else self.low / other.high
        return Interval(low, None if self.high is None else self.high / other.low)


def point(value: Number) -> Interval:
    """An exact value as an Interval."""
    number = dec(value)
    return Interval(number, number)


def between(low: Number, high: Number | None) -> Interval:
    """An Interval from low to high, high None for no known upper limit."""
    return Interval(dec(low), None if high is None else dec(high))


UNKNOWN = Interval(ZERO, None)


def highest(values: list[Interval]) -> Interval:
    """The range of the largest of several values, zero for none."""
    low = max((v.low for v in values), default=ZERO)
    highs = [v.high for v in values]
    return Interval(low, None if None in highs else max((h for h in highs if h is not None), default=ZERO))


def lowest(values: list[Interval]) -> Interval:
    """The range of the smallest of several values (at least one)."""
    highs = [v.high for v in values if v.high is not None]
    return Interval(min(v.low for v in values), min(highs) if highs else None)


def whole_half_up(value: Decimal) -> Decimal:
    """The nearest whole number; a fraction below one half is dropped (NEC 220.5(B), nearest whole ampere)."""
    return (value + Decimal("0.5")).to_integral_value(rounding=ROUND_FLOOR)


# --- conductor sizes ---------------------------------------------------------------------------------------------
_SIZES = ["18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0"]
_SIZES += ["250", "300", "350", "400", "500", "600", "700", "750", "800", "900", "1000", "1250", "1500", "1750", "2000"]
SIZES: tuple[str, ...] = tuple(_SIZES)


def size_rank(size: str) -> int:
    """Place of a conductor size among all sizes, small to large.

    Raises:
        ValueError: not an AWG or kcmil size.
    """
    return SIZES.index(size)


# --- reading what is typed ---------------------------------------------------------------------------------------
_TYPED = re.compile(
    r"^\s*(?P<below>[-−])?\s*"
    r"(?P<number>[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?|[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"  # a comma parts thousands only
    r"\s*(?P<unit>[a-zA-Z'′²/0-9 %°-]*)\s*$"
)
_SCALE: dict[str, dict[str, Decimal]] = {
    "VA": {"": Decimal(1), "w": Decimal(1), "va": Decimal(1), "kw": Decimal(1000), "kva": Decimal(1000),
           "watts": Decimal(1), "watt": Decimal(1)},
    "A": {"": Decimal(1), "a": Decimal(1), "amp": Decimal(1), "amps": Decimal(1), "ampere": Decimal(1),
          "amperes": Decimal(1)},
    "V": {"": Decimal(1), "v": Decimal(1), "volt": Decimal(1), "volts": Decimal(1), "kv": Decimal(1000)},
    "ft": {"": Decimal(1), "ft": Decimal(1), "'": Decimal(1), "′": Decimal(1), "feet": Decimal(1), "foot": Decimal(1)},
    "ft2": {"": Decimal(1), "ft2": Decimal(1), "ft²": Decimal(1), "sqft": Decimal(1), "sq ft": Decimal(1)},
    "kA": {"": Decimal(1), "ka": Decimal(1), "a": Decimal("0.001")},
    "lbf-in": {"": Decimal(1), "lbf-in": Decimal(1), "in-lb": Decimal(1), "lb-in": Decimal(1), "lbf-ft": Decimal(12),
               "ft-lb": Decimal(12)},
    "in": {"": Decimal(1), "in": Decimal(1), "inch": Decimal(1), "inches": Decimal(1), "ft": Decimal(12)},
    "in3": {"": Decimal(1), "in3": Decimal(1), "cu in": Decimal(1)},
    "kVA": {"": Decimal(1), "kva": Decimal(1)},
    "ohm": {"": Decimal(1), "ohm": Decimal(1), "ohms": Decimal(1)},
    "%": {"": Decimal(1), "%": Decimal(1), "percent": Decimal(1)},
    "dB": {"": Decimal(1), "db": Decimal(1)},
    "C": {"": Decimal(1), "c": Decimal(1), "°c": Decimal(1)},
    "": {"": Decimal(1)},
}  # fmt: skip


def typed(text: str, unit: str) -> Decimal:
    """The number of a typed quantity such as "4.5 kW", "62'", "1,840 sq ft", in the wanted unit.

    Args:
        text: As typed.
        unit: Wanted unit: VA (also for W), A, V, ft, ft2, kA or "" for a bare number.
    Raises:
        ValueError: not a number, or a unit that does not belong to the wanted one.
    Example:
        >>> typed("4.5 kW", "VA")
        Decimal('4500')
    """
    match = _TYPED.match(text)
    scales = _SCALE[unit]
    if match and match["below"] and unit != "C":
        raise ValueError(text)
    sign = -1 if match and match["below"] else 1
    if match and unit == "C" and match["unit"].strip(" °").lower() == "f":
        celsius = (sign * Decimal(match["number"].replace(",", "")) - 32) * 5 / 9
        return celsius.to_integral_value() if celsius == celsius.to_integral_value() else round(celsius, 2).normalize()
    if not match or match["unit"].strip().lower() not in scales:
        raise ValueError(text)
    try:
        number = sign * Decimal(match["number"].replace(",", "")) * scales[match["unit"].strip().lower()]
    except InvalidOperation as error:  # pragma: no cover - the pattern keeps these out
        raise ValueError(text) from error
    return number.to_integral_value() if number == number.to_integral_value() else number.normalize()


_SIZE_TYPED = re.compile(
    r"^\s*#?\s*(?P<size>[0-9]/0|[0-9]{1,4})\s*(?:awg|kcmil|mcm)?\s*(?P<metal>cu|al|copper|aluminum)?\s*$", re.I
)


def typed_size(text: str) -> tuple[str, str | None]:
    """Size and metal of a typed conductor such as "3/0 Al" or "#4 copper".

    Raises:
        ValueError: not a conductor size.
    Example:
        >>> typed_size("3/0 Al")
        ('3/0', 'aluminum')
    """
    match = _SIZE_TYPED.match(text)
    if not match or match["size"] not in SIZES:
        raise ValueError(text)
    metals = {"cu": "copper", "copper": "copper", "al": "aluminum", "aluminum": "aluminum"}
    return match["size"], metals[match["metal"].lower()] if match["metal"] else None
