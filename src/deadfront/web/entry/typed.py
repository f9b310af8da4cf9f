"""Texts as they are typed into a line, understood: numbers with units, spaces, cables, nameplates."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from deadfront.errors import DeadfrontError
from deadfront.msg import said
from deadfront.quantities import SIZES, typed, typed_size

MAX_TYPED = 200
LIMITS: Mapping[str, tuple[int, int]] = {
    "A": (1, 10_000), "VA": (0, 10_000_000), "V": (1, 1000), "ft": (0, 10_000), "ft2": (1, 1_000_000), "kA": (1, 300),
    "in": (0, 1000), "lbf-in": (0, 10_000), "in3": (0, 10_000), "kVA": (1, 10_000), "ohm": (0, 100_000), "%": (0, 1000),
    "C": (-80, 150), "dB": (0, 200),
}  # fmt: skip
METALS = {"cu": "copper", "copper": "copper", "al": "aluminum", "aluminum": "aluminum", "alum": "aluminum"}
PROTECTIONS = {
    "plain": "plain", "none": "plain", "standard": "plain", "ground fault": "ground fault", "gfci": "ground fault",
    "gf": "ground fault", "arc fault": "arc fault", "afci": "arc fault", "af": "arc fault", "both": "both",
    "dual": "both", "afci/gfci": "both", "gfci/afci": "both", "dual function": "both",
}  # fmt: skip
YES_NO = {"yes": True, "y": True, "no": False, "n": False}
_GROUND = re.compile(r"(?:w/?g|with ground|w/ ground|g)\Z", re.I)
_CORE = re.compile(r"#?(?P<size>\d/0|\d{1,4})(?:[-/](?P<n>\d))?\Z")
_HP = re.compile(r"(?P<hp>(?:\d+[- ])?\d+(?:/\d+)?)\s*hp\Z", re.I)
_SPACE = re.compile(r"(\d{1,3})\s*([ab])?", re.I)


class BadEntry(DeadfrontError):
    """Something typed that is not understood; the message says what is allowed.

    Attributes:
        field: Name of the column or field it was typed into.
    """

    def __init__(self, field: str, key: str, /, **params: object) -> None:
        self.field = field
        super().__init__(key, **params)


def clean(text: str) -> str:
    """A typed text without line ends, doubled blanks and unprintable signs."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def text_of(field: str, text: str, *, longest: int = 120) -> str | None:
    """A name or note, None for nothing."""
    text = clean(text)
    if len(text) > longest:
        raise BadEntry(field, "entry.too_long", found=len(text), allowed=longest)
    return text or None


def quantity(field: str, text: str, unit: str) -> Decimal | None:
    """A typed number with or without its unit, None for nothing."""
    text = clean(text)
    if not text:
        return None
    low, high = LIMITS[unit]
    example = "entry.like." + unit
    try:
        value = typed(text, unit)
    except ValueError as error:
        raise BadEntry(field, "entry.not_a_number", found=text[:60], like=said(example)) from error
    if not low <= value <= high:
        raise BadEntry(field, "entry.out_of_range", found=text[:60], low=low, high=high, unit=unit)
    return value


def count(field: str, text: str, low: int, high: int) -> int | None:
    """A whole number, None for nothing."""
    text = clean(text)
    if not text:
        return None
    if not re.fullmatch(r"[0-9]{1,6}", text) or not low <= int(text) <= high:
        raise BadEntry(field, "entry.not_whole", found=text[:60], low=low, high=high)
    return int(text)


def one_of(field: str, text: str, allowed: Mapping[str, Any]) -> Any:
    """One of the allowed words, None for nothing."""
    text = clean(text)
    if not text:
        return None
    if text.lower() not in allowed:
        raise BadEntry(field, "entry.not_allowed", found=text[:60], allowed=tuple(dict.fromkeys(map(str, allowed))))
    return allowed[text.lower()]


def spaces(field: str, text: str) -> tuple[tuple[int, ...], str | None]:
    """The spaces of a breaker, and the half for a tandem: "1, 3", "14", "13a"."""
    text = clean(text)
    if not text:
        return (), None
    if not re.fullmatch(r"(?:\d{1,3}\s*[abAB]?[\s,;/&+-]*){1,6}", text):
        raise BadEntry(field, "entry.spaces.form", found=text[:60])
    found = _SPACE.findall(text)
    numbers = tuple(int(number) for number, _ in found)
    halves = {half.lower() for _, half in found if half}
    if any(not 1 <= n <= 84 for n in numbers):
        raise BadEntry(field, "entry.spaces.range", found=text[:60])
    if len(numbers) > 2 or len(set(numbers)) != len(numbers) or len(halves) > 1 or (halves and len(numbers) > 1):
        raise BadEntry(field, "entry.spaces.form", found=text[:60])
    return numbers, halves.pop() if halves else None


def conductor(field: str, text: str) -> dict[str, str | None]:
    """Size and metal of service conductors: "4/0 Al"; nothing for not known."""
    text = clean(text)
    if not text:
        return {"size": None, "metal": None}
    try:
        size, metal = typed_size(text)
    except ValueError as error:
        raise BadEntry(field, "entry.conductor", found=text[:60]) from error
    return {"size": size, "metal": metal}


def cable(field: str, text: str) -> dict[str, Any]:
    """A cable as it is called: "12-2 NM", "8-3 SE Al"; empty for not known."""
    text = clean(text)
    out: dict[str, Any] = {}
    kinds = []
    for word in text.split():
        core = _CORE.match(word)
        if core and "size" not in out and core["size"] in SIZES:
            out["size"] = core["size"]
            if core["n"]:
                out["conductors"] = _conductors(field, core["n"], text)
        elif word.lower() in METALS:
            out["metal"] = METALS[word.lower()]
        elif not _GROUND.match(word) and word.lower() not in ("awg", "kcmil"):
            kinds.append(word)
    if kinds:
        out["type"] = " ".join(kinds)
    if text and "size" not in out and any(c.isdigit() for c in text):
        raise BadEntry(field, "entry.cable", found=text[:60])
    return out


def _conductors(field: str, number: str, text: str) -> int:
    if number not in "234":
        raise BadEntry(field, "entry.cable", found=text[:60])
    return int(number)


PLATE_FIELDS = ("nameplate_w", "nameplate_va", "nameplate_a", "minimum_circuit_ampacity_a", "hp")


def nameplate(field: str, text: str) -> dict[str, Any]:
    """What a nameplate says: "4.5 kW", "12 A", "17.5 A MCA", "1/2 hp"; every other field None."""
    text = clean(text)
    out: dict[str, Any] = dict.fromkeys(PLATE_FIELDS)
    if not text:
        return out
    power = _HP.match(text)
    if power:
        return out | {"hp": power["hp"].replace(" ", "-")}
    minimum = re.fullmatch(r"(?:mca\s*)?(.*?)(?:\s*mca)?", text, re.I)
    if minimum and "mca" in text.lower():
        return out | {"minimum_circuit_ampacity_a": quantity(field, minimum[1], "A")}
    unit = re.sub(r"[0-9.,\s]", "", text).lower()
    name = {"w": "nameplate_w", "kw": "nameplate_w", "watts": "nameplate_w", "watt": "nameplate_w",
            "va": "nameplate_va", "kva": "nameplate_va", "a": "nameplate_a", "amp": "nameplate_a",
            "amps": "nameplate_a", "ampere": "nameplate_a", "amperes": "nameplate_a"}.get(unit)  # fmt: skip
    if name is None:
        raise BadEntry(field, "entry.nameplate" if unit else "entry.nameplate_unit", found=text[:60])
    return out | {name: quantity(field, text, "A" if name == "nameplate_a" else "VA")}
