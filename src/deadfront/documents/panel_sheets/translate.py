"""Names of circuits put into the language of a card, piece by piece; a piece that is not known changes nothing."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources

from deadfront.codebook.name_words import plain

_SPLIT = re.compile(r"( / |, | and | y | & | - )")
_BETWEEN = {"es": {" and ": " y ", " & ": " y "}, "en": {" y ": " and "}}
_JOINED = ("a la ", "left ", "right ")
"""Places that follow without a comma: "a la izquierda del fregadero"."""


@dataclass(frozen=True, slots=True)
class _Glossary:
    """Every piece, plain, with what it is in a language; and which of them say where."""

    pieces: Mapping[str, str]
    places: frozenset[str]


@cache
def _glossary(language: str) -> _Glossary:
    text = resources.files("deadfront.documents").joinpath("name_glossary.toml").read_text(encoding="utf-8")
    told = tomllib.loads(text)
    found = dict(told["phrase"])
    for what, put in told["of_room"].items():
        for room, of_room in told["room"].items():
            found.setdefault(f"{room} {what}", f"{put} {of_room}")
    places = told["place"]
    if language == "es":
        pairs = [*found.items(), *places.items()]
        return _Glossary({plain(english): spanish for english, spanish in pairs}, frozenset(map(plain, places)))
    pairs = [(spanish, english) for english, spanish in (*found.items(), *places.items())]
    back = {plain(spanish): english for spanish, english in reversed(pairs)}
    return _Glossary(back, frozenset(plain(spanish) for spanish in places.values()))


def in_language(name: str, language: str) -> str | None:
    """A name, typed in the other language, in this one; None where a piece of it is not known.

    Example:
        >>> in_language("Kitchen outlets, north wall", "es"), in_language("Bobbie's room", "es")
        ('Tomacorrientes de la cocina, pared norte', None)
    """
    parts = [name] if plain(name) in _glossary(language).pieces else _SPLIT.split(name)
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
    """What stands between two separators: one piece, or several that follow each other, what says where at the end."""
    known = _glossary(language)
    pieces = _cut(tuple(part.split()), language)
    if not pieces:
        return None
    things = [each for each in pieces if _key(each) not in known.places]
    where = [each for each in pieces if _key(each) in known.places]
    told = ""
    for each in (*things, *where):
        new = known.pieces[_key(each)] + _number(each)
        told += new if not told else f" {new}" if new.startswith(_JOINED) else f", {new}"
    return told


def _number(words: tuple[str, ...]) -> str:
    """A number at the end of a piece stays: " 2"."""
    return f" {words[-1]}" if len(words) > 1 and words[-1].isdigit() else ""


def _key(words: tuple[str, ...]) -> str:
    return plain(" ".join(words[:-1] if _number(words) else words))


@lru_cache(maxsize=4096)
def _cut(words: tuple[str, ...], language: str) -> tuple[tuple[str, ...], ...]:
    """Words cut into pieces that are all known, the fewest of them; empty where there is no way."""
    if not words:
        return ()
    best: tuple[tuple[str, ...], ...] = ()
    for size in range(len(words), 0, -1):
        if _key(words[:size]) in _glossary(language).pieces:
            rest = _cut(words[size:], language)
            ways = (words[:size], *rest)
            if (rest or size == len(words)) and (not best or len(ways) < len(best)):
                best = ways
    return best
