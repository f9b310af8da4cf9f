"""Strings of solar modules as they are typed: "11 in series, 2 strings, 49.2 V, -0.26 %/C, 11.4 A, fuse 20 A"."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from deadfront.web.entry import typed as t

_NUMBER = r"(-?\d{1,5}(?:\.\d{1,5})?)"
_PARTS: tuple[tuple[str, re.Pattern[str], Callable[[str], Any]], ...] = tuple(
    (name, re.compile(pattern + r"\Z", re.I), read)
    for name, pattern, read in (
        ("in_series", r"(\d{1,3}) in series", int),
        ("strings", r"(\d{1,3}) strings?", int),
        ("open_volts_v", _NUMBER + r" ?V", str),
        ("open_percent_per_c", _NUMBER + r" ?%(?: ?/ ?°?C)?", str),
        ("short_circuit_a", _NUMBER + r" ?A", str),
        ("fuse_max_a", r"fuse " + _NUMBER + r" ?A", str),
        ("crystalline", r"((?:not )?crystalline)", lambda text: not text.lower().startswith("not")),
    )
)


def modules(path: str, text: str, options: Sequence[str] = ()) -> list[dict[str, Any]] | None:
    """Kinds of strings, each with its nameplate; what is not said stays unknown.

    Raises:
        BadEntry: not understood, or the same said twice.
    """
    kinds = [_one(path, each) for each in text.replace("−", "-").split(";") if each.strip(" ,")]  # noqa: RUF001
    return kinds or None


def _one(path: str, text: str) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for part in (each.strip() for each in text.split(",")):
        if not part:
            continue
        match = next(((name, found[1], read) for name, pattern, read in _PARTS if (found := pattern.match(part))), None)
        if match is None or match[0] in out:
            raise t.BadEntry(path, "entry.modules", found=part[:60])
        name, value, read = match
        out[name] = read(value)
    return out


def modules_text(value: Sequence[Mapping[str, Any]]) -> str:
    """Kinds of strings as their field shows them."""
    return "; ".join(", ".join(_said(each)) for each in value)


def _said(each: Mapping[str, Any]) -> list[str]:
    like = {
        "in_series": "{} in series", "strings": "{} strings", "open_volts_v": "{} V", "open_percent_per_c": "{} %/C",
        "short_circuit_a": "{} A", "fuse_max_a": "fuse {} A",
    }  # fmt: skip
    told = [form.format(each[name]) for name, form in like.items() if each.get(name) is not None]
    if each.get("crystalline") is not None:
        told.append("crystalline" if each["crystalline"] else "not crystalline")
    return told
