"""Facts that are more than one word: lists of choices and of things, conductors counted by size, dates, numbers."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any, get_args

from deadfront.job.panel_things import Insulation
from deadfront.quantities import SIZES
from deadfront.web.entry import typed as t
from deadfront.web.entry.module_text import modules, modules_text

INSULATIONS: tuple[str, ...] = get_args(Insulation)
_WIRES = re.compile(r"(?P<count>\d{1,3})\s*(?:x|×|\*)?\s*#?(?P<size>\d/0|\d{1,4})(?:\s+(?P<more>.+))?\Z", re.I)  # noqa: RUF001
Options = Sequence[str]


def parts_of(text: str) -> list[str]:
    """The parts of a list as typed: between commas."""
    return [part for part in (each.strip() for each in text.replace(";", ",").split(",")) if part]


def many(path: str, text: str, options: Options) -> list[str] | None:
    """Several of the allowed words, in their order.

    Raises:
        BadEntry: a word that is not allowed.
    """
    wanted = {part.lower(): part for part in parts_of(text)}
    allowed = {option.lower(): option for option in options}
    for low, part in wanted.items():
        if low not in allowed:
            raise t.BadEntry(path, "entry.not_allowed", found=part[:60], allowed=tuple(options))
    return [option for low, option in allowed.items() if low in wanted] or None


def in_order(path: str, text: str, options: Options) -> list[str] | None:
    """Allowed words in the order typed, each as often as typed.

    Raises:
        BadEntry: a word that is not allowed.
    """
    allowed = {option.lower(): option for option in options}
    for part in parts_of(text):
        if part.lower() not in allowed:
            raise t.BadEntry(path, "entry.not_allowed", found=part[:60], allowed=tuple(options))
    return [allowed[part.lower()] for part in parts_of(text)] or None


def numbers(path: str, text: str, options: Options) -> list[int] | None:
    """Numbers of spaces, as many as there are.

    Raises:
        BadEntry: no number of a space.
    """
    return [t.count(path, part, 1, 84) or 0 for part in parts_of(text)] or None


def things(path: str, text: str, options: Options) -> list[str] | None:
    """Ids of things; whether they are there is judged by the edit."""
    return parts_of(text) or None


def lines(path: str, text: str, options: Options) -> list[str] | None:
    """Several short texts."""
    return [str(t.text_of(path, part)) for part in parts_of(text)] or None


def spaces(path: str, text: str, options: Options) -> list[int] | None:
    """Spaces of a breaker."""
    return list(t.spaces(path, text)[0]) or None


def wires(path: str, text: str, options: Options) -> list[dict[str, Any]] | None:
    """Conductors counted by size: "3 x 12, 2 x 10 XHHW-2, 1 x 12 bare".

    Raises:
        BadEntry: not understood.
    """
    known = {each.lower(): each for each in INSULATIONS}
    out = []
    for part in parts_of(text):
        match = _WIRES.match(part)
        more = (match["more"] or "").strip().lower() if match else ""
        bare, more = more.endswith("bare"), more.removesuffix("bare").strip()
        if not match or match["size"] not in SIZES or (more and more not in known) or int(match["count"]) < 1:
            raise t.BadEntry(path, "entry.wires", found=part[:60], allowed=INSULATIONS)
        kind = {"insulation": known[more]} if more else {}
        out.append({"size": match["size"], "count": int(match["count"]), **kind, **({"bare": True} if bare else {})})
    return out or None


def day(path: str, text: str, options: Options) -> date:
    """A date as written: 2026-05-12.

    Raises:
        BadEntry: no date.
    """
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise t.BadEntry(path, "entry.not_a_day", found=text[:60]) from error


def number(path: str, text: str, options: Options) -> str:
    """A bare number.

    Raises:
        BadEntry: none.
    """
    try:
        value = Decimal(text.replace(",", ""))
    except InvalidOperation:
        value = Decimal("NaN")
    if not value.is_finite() or not 0 <= value <= 10_000_000:
        raise t.BadEntry(path, "entry.bare_number", found=text[:60])
    return str(value)


READERS: Mapping[str, Callable[[str, str, Options], Any]] = {
    "many": many, "in_order": in_order, "numbers": numbers, "things": things, "lines": lines, "spaces": spaces,
    "wires": wires, "modules": modules, "day": day, "number": number,
}  # fmt: skip
"""Readers by the shape of a fact."""


def wires_text(wires: Sequence[Mapping[str, Any]]) -> str:
    """Conductors counted by size as their field shows them."""
    said = []
    for each in wires:
        kind = each.get("insulation", "")
        kind = "" if kind == INSULATIONS[0] else kind
        words = (str(each["count"]), "x", each["size"], kind, "bare" if each.get("bare") else "")
        said.append(" ".join(word for word in words if word))
    return ", ".join(said)


def list_text(value: Sequence[Any]) -> str:
    """A list as its field shows it."""
    if value and isinstance(value[0], Mapping):
        return wires_text(value) if "count" in value[0] else modules_text(value)
    return ", ".join(map(str, value))
