"""Every page is given one frozen class; each of its keys is said in its words and used by its template."""

from __future__ import annotations

import dataclasses
import re

import pytest
from jinja2 import meta

from deadfront.web import (
    circuit_contexts,
    circuit_pieces,
    contexts,
    drawing_contexts,
    panel_contexts,
    panel_pieces,
    pieces,
    recording_contexts,
    recording_pieces,
)
from deadfront.web.render import ENV, TEMPLATES

EXTRA = {"w", "language", "languages", "saved", "blank", "columns", "table", "on", "works", "lists", "said"}
"""What is given besides: the words, the language, the blank line after a save, what a page hands to its parts."""


def used_in(name: str, seen: set[str] | None = None) -> set[str]:
    """Names that a template asks for, with those it extends, includes and imports."""
    seen = set() if seen is None else seen
    if name in seen:
        return set()
    seen.add(name)
    source, _, _ = ENV.loader.get_source(ENV, name)  # type: ignore[union-attr]
    tree = ENV.parse(source)
    found = meta.find_undeclared_variables(tree)
    for other in meta.find_referenced_templates(tree):
        if other and other not in ("macros.html", "record_macros.html"):
            found |= used_in(other, seen)
    return found


@pytest.mark.parametrize("page", TEMPLATES, ids=lambda page: page.__name__)
def test_keys_are_said_and_used(page: type) -> None:
    assert page.__dataclass_params__.frozen  # type: ignore[attr-defined]
    names = {field.name for field in dataclasses.fields(page)}
    told = set(re.findall(r"^        (\w+): ", page.__doc__ or "", re.M))
    assert told == names, "each key is said in the words of the class"
    used = used_in(TEMPLATES[page])
    assert names <= used | {"base"}, f"not used: {names - used}"
    assert used - names - EXTRA - {"m", "r"} == set(), "asked for but not given"


def test_every_class_of_contexts_is_frozen_and_said() -> None:
    modules = (
        contexts, pieces, circuit_contexts, circuit_pieces, recording_contexts, recording_pieces, panel_contexts,
        panel_pieces, drawing_contexts,
    )  # fmt: skip
    for name, each in {name: each for module in modules for name, each in vars(module).items()}.items():
        if dataclasses.is_dataclass(each):
            assert each.__dataclass_params__.frozen and each.__doc__, name  # type: ignore[union-attr]


def test_views_are_thin() -> None:
    """Parse, call, render: twenty lines at most (the words at the top of a function not counted)."""
    import ast
    from importlib import resources

    for file in resources.files("deadfront.web.views").iterdir():
        if not file.name.endswith(".py"):
            continue
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                lines = (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
                assert lines <= 20, f"{file.name}: {node.name} has {lines} lines"
