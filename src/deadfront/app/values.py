"""The value that stands at a path of a job, to show two of them side by side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from deadfront.job.model import Job
from deadfront.job.paths import parse_path
from deadfront.job.things import COLLECTIONS


def plain(job: Job) -> dict[str, Any]:
    """A job as JSON, what is not known left out."""
    return job.model_dump(mode="json", by_alias=True, exclude_none=True, exclude_defaults=True)


def value_at(job: Mapping[str, Any], path: str) -> Any:
    """The value at a path of a job as JSON; None where there is none.

    Raises:
        EditRefused: the text is no path.
    """
    if path.startswith("assumptions."):  # the path of one assumption: made, or not
        return path.removeprefix("assumptions.") in job.get("assumptions", ()) or None
    where = parse_path(path)
    owner: Any = job.get(where.scope) if where.step is None else _step(job, where.scope)
    if where.thing in ("service", "complete") and where.step is None:
        owner = _down(owner, (where.thing,))
    elif where.thing is not None and where.step is None:
        owner = _thing(owner, where.thing)
    elif where.thing is not None:
        owner = _in_step(owner, where.thing)
    return _down(owner, where.fields)


def _down(value: Any, fields: tuple[str, ...]) -> Any:
    for field in fields:
        value = value.get(field) if isinstance(value, Mapping) else None
    return value


def _step(job: Mapping[str, Any], ident: str) -> Any:
    return next((step for step in job.get("work", ()) if step["id"] == ident), None)


def _thing(house: Any, ident: str) -> Any:
    things = (thing for name in COLLECTIONS for thing in (house or {}).get(name, ()))
    return next((thing for thing in things if thing["id"] == ident), None)


def _in_step(step: Any, ident: str) -> Any:
    """What a step does with a thing: adds it, takes it out ("removed"), moves or sets fields of it."""
    if step is None:
        return None
    added = _thing(step.get("add"), ident)
    changed = {**step.get("move", {}).get(ident, {}), **step.get("set", {}).get(ident, {})}
    if ident in step.get("remove", ()):
        changed["removed"] = True
    return {**(added or {}), **changed} or None


def ids_in(value: Any) -> Iterator[str]:
    """Every id in a job as JSON."""
    if isinstance(value, dict):
        if isinstance(value.get("id"), str):
            yield value["id"]
        for each in value.values():
            yield from ids_in(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from ids_in(each)


def ids_of(job: Job) -> set[str]:
    """Every id in a job: of its things and of its work steps."""
    found = {step.id for step in job.work}
    for things in (job.before, *(step.add for step in job.work)):
        for name in COLLECTIONS:
            found |= {each.id for each in getattr(things, name)}
    return found
