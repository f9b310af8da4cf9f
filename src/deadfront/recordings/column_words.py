"""Words in column names: what a column holds, its unit, its leg."""

from __future__ import annotations

import re

from deadfront.recordings.mapping import ENERGY

_PART = re.compile(r"[a-zäöüáéíóúñ]+|\d+")
_CAMEL = re.compile(r"(?<=[a-z]{2})(?=[A-Z][a-z])")
_UNIT_WORDS = {
    "kwh": "kWh", "wh": "Wh", "mwh": "MWh", "kw": "kW", "w": "W", "watt": "W", "watts": "W", "kilowatt": "kW",
    "kilowatts": "kW", "kilowatthours": "kWh", "kva": "kVA", "va": "VA", "kvah": "kVAh", "vah": "VAh", "kvar": "kvar",
    "var": "var", "kvarh": "kvarh", "varh": "varh", "amp": "A", "amps": "A", "ampere": "A", "amperes": "A",
    "current": "A", "v": "V", "volt": "V", "volts": "V", "voltage": "V", "hz": "Hz", "frequency": "Hz",
}  # fmt: skip
_USE_WORDS: dict[str, frozenset[str]] = {
    "end": frozenset(("end", "ending", "ends", "until", "stop", "fin", "hasta", "ende", "bis", "to")),
    "start": frozenset(("start", "starting", "begin", "beginning", "from", "inicio", "desde", "beginn", "von")),
    "quality": frozenset(("quality", "status", "flag", "qualifier", "estimated", "estimate", "validity", "calidad")),
    "leg": frozenset(("leg", "phase", "line", "fase")),
    "channel": frozenset(
        (
            "channel",
            "meter",
            "circuit",
            "sensor",
            "device",
            "register",
            "medidor",
            "canal",
            "name",
            "id",
            "point",
            "type",
        )
    ),
}
_LEGS = {"l1": "L1", "l2": "L2", "leg1": "L1", "leg2": "L2", "phase1": "L1", "phase2": "L2", "line1": "L1",
         "line2": "L2", "a": "L1", "b": "L2", "1": "L1", "2": "L2"}  # fmt: skip
_REGISTER = frozenset(
    ("register", "cumulative", "reading", "index", "odometer", "lifetime", "acumulado", "lectura", "zählerstand")
)
_INSTANT = frozenset(["instantaneous", "instant", "spot", "sample"])
_MEAN = frozenset(["average", "avg", "mean", "demand", "media"])


def parts(name: str) -> list[str]:
    """The words and figures of a column name, in small letters."""
    return _PART.findall(_CAMEL.sub(" ", name).lower())


def unit_of_name(name: str) -> str:
    """The unit that a column name tells, "" where it tells none.

    Example:
        >>> unit_of_name("Usage (kWh)"), unit_of_name("L1_W"), unit_of_name("power")
        ('kWh', 'W', '')
    """
    words = parts(name)
    for word in words:
        if word in ("kwh", "wh", "mwh", "kvah", "vah", "kvarh", "varh"):
            return _UNIT_WORDS[word]
    joined = "".join(words)
    if "kilowatthour" in joined:
        return "kWh"
    if "watthour" in joined:
        return "Wh"
    found = next((_UNIT_WORDS[word] for word in reversed(words) if word in _UNIT_WORDS), "")
    if not found and re.search(r"[\s_(\[]A[)\]]?$|^A$", name.strip()):
        return "A"
    return found


def use_of_name(name: str) -> str:
    """What a column name says it holds: end, start, quality, leg, channel, or "" where it says none of these."""
    words = set(parts(name))
    return next((use for use, known in _USE_WORDS.items() if words & known), "")


def leg_of_name(name: str) -> str:
    """The leg that a column name tells, "" where it tells none."""
    words = parts(name)
    joined = [first + second for first, second in zip(words, words[1:], strict=False)]
    for word in [*joined, *(each for each in words if len(each) == 2)]:
        if word in _LEGS:
            return _LEGS[word]
    return ""


def kind_of_name(name: str, unit: str) -> tuple[str, bool]:
    """The kind of figures a column holds by its name and unit, and whether the name itself says so."""
    words = set(parts(name))
    if unit in ENERGY or (not unit and words & _REGISTER):
        return ("register", True) if words & _REGISTER else ("energy", False)
    if words & _INSTANT:
        return "instant", True
    return "mean", bool(words & _MEAN)
