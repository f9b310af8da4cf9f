"""Every key of words that the source names literally, with the parameters given to it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

SOURCE = Path(__file__).resolve().parents[2] / "src" / "deadfront"
KEY = re.compile(r"[a-z][a-z0-9_]*(\.[a-z0-9_]+)+")
MAKERS = {"fact", "given", "lookup", "total", "product", "quotient", "minus", "largest", "least", "tiered",
          "percent_of", "counted", "rounded", "next_standard", "between_cases", "chosen"}  # fmt: skip


@dataclass(frozen=True)
class Said:
    """One place that names a key; `params` None where they cannot be read off; `pattern` for a key with holes."""

    place: str
    key: str
    params: frozenset[str] | None
    pattern: bool = False


def _trees() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(SOURCE.rglob("*.py")):
        yield path.relative_to(SOURCE).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def error_names() -> set[str]:
    """Names of all exceptions that carry a Msg."""
    bases: dict[str, set[str]] = {}
    for _, tree in _trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef):
                bases[node.name] = {b.id for b in node.bases if isinstance(b, ast.Name)}
    found = {"DeadfrontError"}
    while more := {name for name, above in bases.items() if above & found} - found:
        found |= more
    return found


def _params(call: ast.Call, name: str) -> frozenset[str] | None:
    if name == "Msg":
        given = (
            call.args[1] if len(call.args) > 1 else next((k.value for k in call.keywords if k.arg == "params"), None)
        )
        if given is None:
            return frozenset()
        if isinstance(given, ast.Dict) and all(isinstance(k, ast.Constant) for k in given.keys):
            return frozenset(str(k.value) for k in given.keys if isinstance(k, ast.Constant))
        return None
    if name in MAKERS:
        return frozenset()
    if any(k.arg is None for k in call.keywords):
        return None
    return frozenset(k.arg for k in call.keywords if k.arg)


def _names(node: ast.AST) -> Iterator[tuple[str, bool]]:
    """Keys in an argument: a literal, both sides of a choice, or a pattern with holes."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        if KEY.fullmatch(node.value):
            yield node.value, False
    elif isinstance(node, ast.IfExp):
        yield from _names(node.body)
        yield from _names(node.orelse)
    elif isinstance(node, ast.JoinedStr):
        parts = [re.escape(p.value) if isinstance(p, ast.Constant) else r"[a-z0-9_.]+" for p in node.values]
        if isinstance(node.values[0], ast.Constant) and "." in node.values[0].value:
            yield "".join(parts), True


def said_keys() -> list[Said]:
    """All of them, in the order of the files."""
    errors = error_names()
    found = []
    for place, tree in _trees():
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            func = node.func
            name = func.id if isinstance(func, ast.Name) else func.attr if isinstance(func, ast.Attribute) else ""
            at = 1 if name in MAKERS else 0
            words_method = name == "key" and isinstance(func, ast.Attribute)
            if name not in MAKERS | errors | {"said", "Msg"} and not words_method:
                continue
            if len(node.args) > at:
                for key, pattern in _names(node.args[at]):
                    found.append(Said(f"{place}:{node.lineno}", key, _params(node, name), pattern))
    return found
