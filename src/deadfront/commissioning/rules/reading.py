"""What a reading says: kept as typed, understood with its unit and resolution, never corrected in silence."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Literal

Kind = Literal["number", "yes", "choice", "text"]
_NUMBER = re.compile(  # a comma parts thousands only: "0,5" is half of something to one reader, five to another
    r"^(?P<sign>[-+−]?)(?P<digits>[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?|[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
    r"\s*(?P<unit>[^\d\s.,+-]*)$"
)
_OVER = re.compile(r"^(?:ol|o\.l\.?|over ?range|open|∞|inf)$", re.I)
_ABOVE = re.compile(r"^>\s*(?P<rest>.+)$")
_YES = {
    "yes": True,
    "y": True,
    "ok": True,
    "si": True,
    "sí": True,
    "true": True,
    "no": False,
    "n": False,
    "false": False,
}
MOST_REPEATS = 20
BEYOND = ("ohm", "Mohm")  # units in which an open circuit reads beyond the range

_PLAIN: Mapping[str, Mapping[str, Decimal]] = {
    "V": {
        "v": Decimal(1),
        "vac": Decimal(1),
        "vdc": Decimal(1),
        "volt": Decimal(1),
        "volts": Decimal(1),
        "mv": Decimal("0.001"),
        "kv": Decimal(1000),
    },
    "A": {"a": Decimal(1), "amp": Decimal(1), "amps": Decimal(1), "ma": Decimal("0.001"), "ka": Decimal(1000)},
    "W": {"w": Decimal(1), "watt": Decimal(1), "watts": Decimal(1), "kw": Decimal(1000)},
    "s": {"s": Decimal(1), "sec": Decimal(1), "ms": Decimal("0.001"), "min": Decimal(60)},
    "Hz": {"hz": Decimal(1)},
    "dBm": {"dbm": Decimal(1), "db": Decimal(1)},
    "": {},
}
_EXACT: Mapping[str, Mapping[str, Decimal]] = {  # capital letters count: a milliohm is no megohm
    "ohm": {"ohm": Decimal(1), "ohms": Decimal(1), "Ω": Decimal(1), "mohm": Decimal("0.001"),
            "mΩ": Decimal("0.001"), "k": Decimal(1000), "kohm": Decimal(1000), "kΩ": Decimal(1000),
            "M": Decimal(1000000), "Mohm": Decimal(1000000), "MOhm": Decimal(1000000), "MΩ": Decimal(1000000)},
    "Mohm": {"Mohm": Decimal(1), "MOhm": Decimal(1), "MΩ": Decimal(1), "M": Decimal(1), "megohm": Decimal(1),
             "megohms": Decimal(1),
             "G": Decimal(1000), "Gohm": Decimal(1000), "GΩ": Decimal(1000), "k": Decimal("0.001"),
             "kohm": Decimal("0.001"), "kΩ": Decimal("0.001")},
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """One reading that a test asks for.

    Args:
        key: Its name in the record.
        unit: "V", "A", "W", "ohm", "Mohm", "s", "Hz", "dBm" or "" (for kinds without one).
        kind: A number, a yes or no, one of `choices`, or plain text.
        low, high: Beyond these no such reading is possible: a slip of the hand or of the range [unit].
        needed: Without it there is no verdict.
        repeats: Takes several readings, one after another, apart by spaces or semicolons.
        choices: What a choice may be.
    """

    key: str
    unit: str = ""
    kind: Kind = "number"
    low: Decimal = Decimal(0)
    high: Decimal = Decimal(0)
    needed: bool = True
    repeats: bool = False
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading as typed and as understood.

    Args:
        asked: What was asked for.
        typed: As typed; "" where nothing was.
        values: Its numbers, each repeat one, in the asked unit.
        half: Half of the last digit shown: how finely it was read [unit].
        above: Beyond the range of the instrument: more than `values[0]`, or more than it can show where none stands.
        yes: Answer to a yes or no.
        choice: One of the choices, or the text.
        trouble: "" or what is wrong: "unit", "number", "impossible", "choice", "repeats", "beyond".
    """

    asked: Asked
    typed: str = ""
    values: tuple[Decimal, ...] = ()
    half: Decimal = Decimal(0)
    above: bool = False
    yes: bool | None = None
    choice: str = ""
    trouble: str = ""

    @property
    def known(self) -> bool:
        """Whether it may be judged by."""
        return bool(self.typed) and not self.trouble

    def at_least(self, least: Decimal) -> bool | None:
        """Whether it is no less than that; None where it was only seen to be beyond a smaller figure."""
        if not self.values:
            return True if self.above else None
        return True if self.values[0] >= least else None if self.above else False

    @property
    def mean(self) -> Decimal:
        """Mean of its repeats.

        Raises:
            IndexError: nothing was read.
        """
        if not self.values:
            raise IndexError(self.asked.key)
        return sum(self.values, Decimal(0)) / len(self.values)


@lru_cache(maxsize=16_384)
def understood(asked: Asked, typed: str) -> Reading:
    """What a typed reading says.

    Example:
        >>> understood(Asked("l1_n", "V", high=Decimal(1000)), "0.1208 kV").values
        (Decimal('120.8000'),)
    """
    text = typed.strip()
    if not text:
        return Reading(asked)
    if asked.kind == "yes":
        word = text.lower()
        return Reading(asked, text, yes=_YES.get(word), trouble="" if word in _YES else "choice")
    if asked.kind == "choice":
        found = next((each for each in asked.choices if each.lower() == text.lower()), "")
        return Reading(asked, text, choice=found, trouble="" if found else "choice")
    if asked.kind == "text":
        return Reading(asked, text, choice=text)
    return _number(asked, text)


def _number(asked: Asked, text: str) -> Reading:
    if asked.unit not in BEYOND and (_OVER.match(text) or _ABOVE.match(text)):
        return Reading(asked, text, trouble="beyond")  # beyond the range of a voltmeter is no voltage
    if _OVER.match(text):
        return Reading(asked, text, above=True)
    above = _ABOVE.match(text)
    parts = _parts(above["rest"] if above else text)
    if len(parts) > 1 and not asked.repeats:
        return Reading(asked, text, trouble="number")
    if len(parts) > MOST_REPEATS:
        return Reading(asked, text, trouble="repeats")
    values: list[Decimal] = []
    half = Decimal(0)
    for part in parts:
        read = _one(asked, part)
        if isinstance(read, str):
            return Reading(asked, text, trouble=read)
        values.append(read[0])
        half = max(half, read[1])
    outside = any(not asked.low <= each <= asked.high for each in values)
    return Reading(asked, text, tuple(values), half, bool(above), trouble="impossible" if outside else "")


def _parts(text: str) -> list[str]:
    """Repeats apart: by semicolons, else by spaces between numbers; a unit keeps to its number."""
    if ";" in text:
        return [each.strip() for each in text.split(";") if each.strip()]
    return re.split(r"\s+(?=[-+−]?[0-9.])", text.strip())


def _one(asked: Asked, text: str) -> tuple[Decimal, Decimal] | str:
    """A number in the asked unit with half of its last digit, or what is wrong with it."""
    match = _NUMBER.match(text)
    if match is None:
        return "number"
    unit = match["unit"].strip().replace("\u2126", "Ω")  # the ohm sign and the letter are one
    scale = Decimal(1) if not unit else scales(asked.unit).get(unit if asked.unit in _EXACT else unit.lower())
    if scale is None:
        return "unit"
    digits = match["digits"].replace(",", "")
    value = Decimal(digits) * scale * (-1 if match["sign"] in ("-", "−") else 1)
    decimals = len(digits.partition(".")[2])
    return value, Decimal(1).scaleb(-decimals) / 2 * scale


def scales(unit: str) -> Mapping[str, Decimal]:
    """Units that a reading may be typed in, with what one of each is in the asked one."""
    return _EXACT.get(unit) or _PLAIN.get(unit, {})
