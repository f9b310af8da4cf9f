"""The words that names of circuits are held against, read once."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class NameWords:
    """The words that names are held against, in small letters, in every language names are entered in.

    Args:
        person: They name a person, or depend on who lives there: "kids", "my".
        ages: They change with the use of a room: "guest", "office".
        fillers: They tell nothing by themselves: "the", "and".
        general: What many circuits have: "outlets", "lighting".
        vague: More that tells nothing apart: "misc", "power".
        spare: They say that nothing is on it.
        several: Rooms that a house has several of.
        position: They say where: floor, wall, compass, a room that a house has once.
    """

    person: frozenset[str]
    ages: frozenset[str]
    fillers: frozenset[str]
    general: frozenset[str]
    vague: frozenset[str]
    spare: frozenset[str]
    several: frozenset[str]
    position: frozenset[str]


@cache
def name_words() -> NameWords:
    """Words of both languages: names are typed in either."""
    text = resources.files("deadfront.codebook").joinpath("data/name_words.toml").read_text("utf-8")
    return NameWords(**{kind: frozenset(words.split()) for kind, words in tomllib.loads(text).items()})
