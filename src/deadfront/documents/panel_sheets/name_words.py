"""The words that names of circuits are held against, read once."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources

from deadfront.panel.rules.names import NameWords


@cache
def name_words() -> NameWords:
    """Words of both languages: names are typed in either."""
    text = resources.files("deadfront.documents").joinpath("name_words.toml").read_text(encoding="utf-8")
    return NameWords(**{kind: frozenset(words.split()) for kind, words in tomllib.loads(text).items()})
