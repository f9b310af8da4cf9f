"""Every key of the library and the desk has words in both languages, and every edit a line of history."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from deadfront.documents.catalog import Catalog, words
from deadfront.job.edits import DOES
from deadfront.msg import said

SOURCE = Path(__file__).resolve().parents[2] / "src" / "deadfront"
PROBLEMS = ("cut_short", "out_of_step", "marker", "no_frame", "chunk", "checksum")


def keys_in(room: str) -> set[str]:
    """Every literal that is a key of the room."""
    found = set()
    for path in sorted((SOURCE / room).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found |= set(re.findall(r"(?:store|app)(?:\.[a-z_]+)+[a-z]\Z", node.value))
    return found


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_key_has_words(language: str) -> None:
    keys = keys_in("store") | keys_in("app")
    keys |= {f"store.photo.{problem}" for problem in PROBLEMS}
    keys |= {f"store.status.{status}" for status in ("open", "closed", "deleted")}
    keys |= {f"app.change.{do}" for do in (*DOES, "undo", "redo")}
    assert len(keys) > 80
    assert sorted(keys - set(words(language))) == []


def test_the_problems_of_photos_are_those_the_source_names() -> None:
    text = (SOURCE / "store" / "photos.py").read_text(encoding="utf-8")
    named = set(re.findall(r'_malformed\(name, (?:"(\w+)" if .* else )?"(\w+)"\)', text))
    assert {word for pair in named for word in pair if word} == set(PROBLEMS)


def test_a_line_of_history_reads_well() -> None:
    several = said("app.change.several", count=2, changes=(
        said("app.change.set", path="before/p-k3m.bus_a", old="125", new="200"),
        said("app.change.add", path="w-4c1/l-6aa"),
    ))  # fmt: skip
    assert Catalog("en", strict=True).say(said("app.change.undo", revision=4, what=several)) == (
        "Revision 4 undone: 2 changes: before/p-k3m.bus_a: 125 became 200 and w-4c1/l-6aa added"
    )
