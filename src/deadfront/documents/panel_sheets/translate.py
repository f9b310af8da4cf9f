"""Names of circuits put into the language of a card, piece by piece; a piece that is not known changes nothing."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources

_SPLIT = re.compile(r"( / |, | and | y | & )")
_BETWEEN = {"es": {" and ": " y ", " & ": " y "}, "en": {" y ": " and "}}


@cache
def _pieces(language: str) -> Mapping[str, str]:
    """Every piece, in small letters, with what it is in a language."""
    text = resources.files("deadfront.documents").joinpath("name_glossary.toml").read_text(encoding="utf-8")
    told = tomllib.loads(text)
    found = dict(told["phrase"])
    for what, put in told["of_room"].items():
        for room, of_room in told["room"].items():
            found[f"{room} {what}"] = f"{put} {of_room}"
    if language == "es":
        return {english.casefold(): spanish for english, spanish in found.items()}
    return {spanish.casefold(): english for english, spanish in reversed(found.items())}


def in_language(name: str, language: str) -> str | None:
    """A name, typed in the other language, in this one; None where a piece of it is not known.

    Example:
        >>> in_language("Kitchen outlets, north wall", "es"), in_language("Bobbie's room", "es")
        ('Tomacorrientes de la cocina, pared norte', None)
    """
    parts = [name] if name.casefold() in _pieces(language) else _SPLIT.split(name)
    put: list[str] = []
    for index, part in enumerate(parts):
        if index % 2:
            put.append(_BETWEEN[language].get(part, part))
            continue
        new = _piece(part, language)
        if new is None:
            return None
        put.append(new)
    told = "".join(put)
    return told[:1].upper() + told[1:]


def _piece(part: str, language: str) -> str | None:
    """One piece; a number at its end stays."""
    head, space, number = part.strip().rpartition(" ")
    numbered = bool(space) and number.isdigit()
    found = _pieces(language).get((head if numbered else part.strip()).casefold())
    return f"{found} {number}" if found and numbered else found
