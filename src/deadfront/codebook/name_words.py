"""The words that names of circuits are held against, read once."""

from __future__ import annotations

import tomllib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class NameWords:
    """The words that names are held against, in small letters without accents, in every language names are entered in.

    Args:
        person: They name a person, or depend on who lives there: "kids", "my".
        given: Given names that are no words of the trade: "jim".
        ages: They change with the use of a room: "guest", "office".
        fillers: They tell nothing by themselves: "the", "and".
        none: They stand for no name: "tbd".
        general: What many circuits have: "outlets", "lighting".
        vague: More that tells nothing apart: "misc", "power".
        spare: They say that nothing is on it; `spare_phrase`: the same in several words, joined by "_".
        several: Rooms that a house has several of.
        where: They say where, and not what: floor, wall, compass.
        position: They say where: those of `where`, and rooms that a house has once.
        thing: Things that own nothing, so that "refrigerator's" names no person.
        same: For every word with another one that means the same: that one.
    """

    person: frozenset[str]
    given: frozenset[str]
    ages: frozenset[str]
    fillers: frozenset[str]
    none: frozenset[str]
    general: frozenset[str]
    vague: frozenset[str]
    spare: frozenset[str]
    spare_phrase: frozenset[str]
    several: frozenset[str]
    where: frozenset[str]
    position: frozenset[str]
    thing: frozenset[str]
    same: Mapping[str, str]


def plain(word: str) -> str:
    """A word in small letters without its accents: "Niños" and "ninos" are one word."""
    parts = unicodedata.normalize("NFD", word.casefold())
    return "".join(each for each in parts if not unicodedata.combining(each))


@cache
def name_words() -> NameWords:
    """Words of both languages: names are typed in either."""
    text = resources.files("deadfront.codebook").joinpath("data/name_words.toml").read_text("utf-8")
    told = {kind: plain(words) for kind, words in tomllib.loads(text).items()}
    groups = [line.split() for line in told.pop("same").splitlines() if line]
    lists = {kind: frozenset(words.split()) for kind, words in told.items()}
    lists["position"] |= lists["where"]
    return NameWords(**lists, same={word: group[0] for group in groups for word in group[1:]})
