"""A remedy that takes out a join says first what carries the fault afterward."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import deadfront

WORDS = Path(deadfront.__file__).parent / "documents" / "words"
STEPS = {"en": ("First", "hen take out", "dead and proved dead"),
         "es": ("Primero", "espués quite", "uerto y comprobado")}  # fmt: skip


@pytest.mark.parametrize("language", STEPS)
@pytest.mark.parametrize("ending", ["feeder_wrong", "structure_joined_wrong", "submeter_wrong"])
def test_the_ground_comes_before_the_join_goes(language: str, ending: str) -> None:
    """On a three-wire feeder the join is the only path of a fault: hand."""
    words = tomllib.loads((WORDS / language / "grounding.toml").read_text("utf-8"))
    remedy = words["remedy"]["grounding"]["joins"][ending]
    first, then, dead = STEPS[language]
    assert -1 < remedy.find(first) < remedy.find(then) and dead in remedy
