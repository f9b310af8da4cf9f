"""Single facts by their path: service, head, units, panels, whatever an answer waits for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from deadfront.errors import EditRefused
from deadfront.job.model import Job
from deadfront.job.paths import parse_path
from deadfront.job.things import COLLECTIONS
from deadfront.web.entry import lists
from deadfront.web.entry import typed as t
from deadfront.web.entry.places import EditData, added, found
from deadfront.web.entry.shapes import as_chosen, model_of, shape_of

CONDUCTORS = "before/service.conductors.size"
UTILITY = "before/service.utility.limit"
SOCKET = "before/complete.meters"
NO_LIMIT = ("none", "no limit", "ninguno", "sin límite", "sin limite")
Fresh = Callable[[str], str]


def service_after(job: Job, path: str, text: str, step: str) -> list[EditData]:
    """The edits for a fact of the service as the work leaves it; an empty text: the work does not change it.

    Raises:
        BadEntry: not understood, or no such fact.
    """
    old = next((each.set["service"] for each in job.work if each.id == step and "service" in each.set), {})
    name = path.partition("/service.")[2]
    if name == "conductors.size":
        both = {key: value for key, value in t.conductor(path, text).items() if value}
        fields: dict[str, Any] = {"conductors": both or None}
    elif name in ("disconnect.rating_a", "disconnect.sccr_ka"):
        field = name.partition(".")[2]
        value = t.quantity(path, text, "A" if field == "rating_a" else "kA")
        kept = {key: each for key, each in old.get("disconnect", {}).items() if key != field}
        fields = {"disconnect": {**kept, **({} if value is None else {field: str(value)})} or None}
    else:
        raise t.BadEntry(path, "entry.not_allowed", found=name[:60], allowed=("rating_a", "sccr_ka", "size"))
    held = {key: old.get(key) for key in fields}
    if held == fields:
        return []
    return [{"do": "set_in_step", "step": step, "id": "service", "fields": fields}]


def fact_edits(job: Job, path: str, text: str, fresh: Fresh) -> list[EditData]:
    """The edits for one fact as typed; an empty text means not known.

    Raises:
        BadEntry: not understood, or not allowed here.
        EditRefused: no such path.
    """
    text = t.clean(text)
    if path == CONDUCTORS:
        both = t.conductor(path, text)
        metal = (
            [] if both["size"] and both["metal"] is None else [_set("before/service.conductors.metal", both["metal"])]
        )
        return [_set(path, both["size"]), *metal]
    if path == UTILITY:
        return _utility(path, text)
    if path == SOCKET and text not in ("yes", "no", "unknown"):
        value = t.quantity(path, text, "A")
        fields = {"purpose": "utility", "socket_a": value}
        return [added("before", "meters", fresh("m"), fields)] if value is not None else []
    return [_set(path, _value(job, path, text))]


def _set(path: str, value: Any) -> EditData:
    return {"do": "set", "path": path, "value": value}


def _utility(path: str, text: str) -> list[EditData]:
    if text.lower() in ("", *NO_LIMIT):
        wanted = None if not text else "none"
        return [_set(path, wanted), _set("before/service.utility.limit_a", None)]
    amperes = str(t.quantity(path, text, "A"))
    return [_set(path, "limited"), _set("before/service.utility.limit_a", amperes)]


def _value(job: Job, path: str, text: str) -> Any:
    shape, options = shape_of(job, path)
    if not text or (text == "unknown" and "unknown" not in options):
        if path in ("job.name", "job.code.edition"):
            raise t.BadEntry(path, "entry.needed")
        return None
    if shape == "choice":
        found_at = [option for option in options if option.lower() == text.lower()]
        if not found_at:
            raise t.BadEntry(path, "entry.not_allowed", found=text[:60], allowed=options)
        where = parse_path(path)
        return found_at[0] if where.fields[0] == "seen" else as_chosen(model_of(job, where), where.fields, found_at[0])
    if shape == "yes_no":
        return t.one_of(path, text, t.YES_NO)
    if shape == "quantity":
        return str(t.quantity(path, text, options[0]))
    if shape == "whole":
        return t.count(path, text, 0, 1000)
    if shape == "things":
        return in_old_order(job, path, lists.things(path, text, options))
    if shape in lists.READERS:
        return lists.READERS[shape](path, text, options)
    return t.text_of(path, text, longest=400)


def in_old_order(job: Job, path: str, wanted: list[str] | None) -> list[str] | None:
    """Things named before in their order, what is named besides after them: an order is kept as it was ticked."""
    where = parse_path(path)
    lines = (found(job, name, where.thing or "") for name in COLLECTIONS)
    line = next((each for each in lines if each), None)
    old = getattr(line.thing, where.fields[-1], None) if line else None
    before = [each for each in old if each in (wanted or ())] if isinstance(old, tuple) else []
    return [*before, *(each for each in wanted if each not in before)] if wanted else None


def anchored(path: str) -> str:
    """A path that is one, or nothing: what may be a field's address."""
    try:
        return str(parse_path(path))
    except EditRefused:
        return ""
