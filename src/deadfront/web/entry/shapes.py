"""How a fact is entered, told from its model: a choice, yes or no, a number with its unit, a list of any of these."""

from __future__ import annotations

import types
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin

from deadfront.job.model import Choices, Head, Job
from deadfront.job.panel_things import WireCount
from deadfront.job.paths import Path, parse_path
from deadfront.job.source_things import Modules
from deadfront.job.things import COLLECTIONS, Complete, Model, Service, unit_of
from deadfront.web.entry.places import found

Shape = tuple[str, tuple[str, ...]]
"""choice, many and in_order (with the options), yes_no, whole, number, quantity (with the unit), day, things, wires,
modules, spaces, numbers, lines, text."""
KNOWN = ("yes", "no", "unknown")
UNTYPED = ("id", "seen", "mapping", "channels", "sha256", "form", "file")
"""Fields that are not typed one by one: the site list and recordings have pages of their own."""


def shape_of(job: Job, path: str) -> Shape:
    """How the fact of a path is entered."""
    where = parse_path(path)
    if where.fields[:1] == ("seen",):
        return "choice", KNOWN
    return field_shape(model_of(job, where), where.fields)


def model_of(job: Job, where: Path) -> type[Model] | None:
    """The model that the fields of a path belong to, None for none."""
    if where.thing in ("service", "complete"):
        return Service if where.thing == "service" else Complete
    if where.scope in ("job", "choices"):
        return Head if where.scope == "job" else Choices
    return next((model for name, model in COLLECTIONS.items() if found(job, name, where.thing or "")), None)


@cache
def field_shape(model: type[Model] | None, fields: tuple[str, ...]) -> Shape:
    """How a field of a model, or one within it, is entered."""
    kind: Any = model
    for name in fields:
        info = kind.model_fields.get(name) if isinstance(kind, type) and issubclass(kind, Model) else None
        kind = bare(info.annotation) if info else None
    many = get_origin(kind) is tuple
    if many:
        kind = bare(get_args(kind)[0])
    if get_origin(kind) is Literal:
        shape = "in_order" if many and fields[-1] == "legs" else "many" if many else "choice"
        return shape, tuple(str(each) for each in get_args(kind))
    if many:
        of_numbers = "spaces" if fields[-1] == "spaces" else "numbers"
        named = {WireCount: "wires", Modules: "modules", int: of_numbers}.get(kind)
        return named or ("lines" if fields[-1] == "may_not_serve" else "things"), ()
    if kind is bool:
        return "yes_no", ()
    unit = unit_of(fields[-1]) if fields and kind is Decimal else None
    if unit:
        return "quantity", (unit,)
    return {int: "whole", Decimal: "number", date: "day"}.get(kind, "text"), ()


def bare(kind: Any) -> Any:
    """An annotation without None and without bounds; an id or a word in its place is a text."""
    while True:
        if get_origin(kind) in (Union, types.UnionType):
            parts = [each for each in get_args(kind) if each is not type(None)]
            if len(parts) != 1:
                return str
            kind = parts[0]
        elif hasattr(kind, "__metadata__"):
            kind = kind.__origin__
        else:
            return kind


@cache
def leaves(model: type[Model]) -> tuple[str, ...]:
    """Every field of a model that is typed, those within fields too: "cable.size"."""
    return tuple(_leaves(model, ""))


def _leaves(model: type[Model], before: str) -> Iterator[str]:
    for name, info in model.model_fields.items():
        kind = bare(info.annotation)
        if name in UNTYPED:
            continue
        if isinstance(kind, type) and issubclass(kind, Model):
            yield from _leaves(kind, f"{before}{name}.")
        else:
            yield before + name


def as_chosen(model: type[Model] | None, fields: tuple[str, ...], option: str) -> Any:
    """A chosen word as its model has it: the marking of a terminal is a number."""
    kind: Any = model
    for name in fields:
        kind = bare(kind.model_fields[name].annotation)
    return next((each for each in get_args(kind) if str(each) == option), option)
