"""What a path of a job is called by people: "Main panel: bus", not "before/p-k3m.bus_a"."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from deadfront.documents.catalog import Catalog
from deadfront.errors import EditRefused
from deadfront.job.model import Job
from deadfront.job.paths import parse_path
from deadfront.job.things import COLLECTIONS
from deadfront.msg import Msg
from deadfront.web.entry.places import things_of

UNITS = ("_ft2", "_ft", "_ka", "_va", "_a", "_w", "_c")


def called(path: str, job: Job, catalog: Catalog) -> str:
    """A path in words; one that names nothing in the job keeps its id."""
    try:
        where = parse_path(path)
    except EditRefused:
        return path
    parts = [_owner(where.thing or where.scope, job, catalog)]
    if where.fields:
        parts.append(_field(".".join(where.fields), catalog))
    return ": ".join(part for part in parts if part)


def _owner(ident: str, job: Job, catalog: Catalog) -> str:
    if "-" not in ident:
        key = f"web.scope.{ident}"
        return catalog.key(key) if catalog.has(key) else ident
    steps = {step.id: step.say for step in job.work}
    if ident in steps:
        return steps[ident]
    for collection in COLLECTIONS:
        for line in things_of(job, collection):
            if line.thing.id == ident:
                return line.thing.name or _unnamed(line.thing, collection, catalog)
    return ident


def _unnamed(thing: Any, collection: str, catalog: Catalog) -> str:
    kind = getattr(thing, "kind", "")
    if collection == "loads" and catalog.has(f"kind.{kind}"):
        return catalog.key(f"kind.{kind}")
    if collection == "records" and catalog.has(f"commission.test.{thing.test}"):
        return catalog.key(f"commission.test.{thing.test}")
    if collection in ("torques", "corrections") and (thing.terminal if collection == "torques" else thing.asks):
        return str(thing.terminal if collection == "torques" else thing.asks)[:60]
    spaces = getattr(thing, "spaces", None)
    if collection == "breakers" and spaces:
        return catalog.key("web.scope.breaker", spaces=", ".join(map(str, spaces)))
    return str(thing.id)


def _field(name: str, catalog: Catalog) -> str:
    service = f"web.field.service_{name.replace('.', '_')}"
    for key in (f"web.field.load.{name}", service, f"web.table.{name}", f"web.fact.work.{name}"):
        if catalog.has(key):
            return catalog.key(key)
    reading = f"commission.reading.{name.removeprefix('readings.')}"
    if name.startswith("readings.") and catalog.has(reading):
        return catalog.key(reading)
    plain = name.rpartition(".")[2]
    for unit in UNITS:
        plain = plain.removesuffix(unit)
    return plain.replace("_", " ")


def told(msg: Msg, job: Job, catalog: Catalog) -> Msg:
    """A line of history with its paths in words."""
    return Msg(msg.key, {name: _told(name, value, job, catalog) for name, value in msg.params.items()})


def _told(name: str, value: object, job: Job, catalog: Catalog) -> object:
    if isinstance(value, Msg):
        return told(value, job, catalog)
    if isinstance(value, Mapping):
        return value
    if isinstance(value, list | tuple):
        return tuple(_told(name, each, job, catalog) for each in value)
    return called(value, job, catalog) if name in ("path", "touched") and isinstance(value, str) else value
