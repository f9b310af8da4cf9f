"""Where things of a job stand, and edits that add, change, take out or strike them out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from deadfront.job.model import Job
from deadfront.job.things import Thing

EditData = dict[str, Any]
Work = Literal["E", "N", "R"]
NEW_WORK = "entry.new_work"


@dataclass(frozen=True, slots=True)
class Standing:
    """A thing in its place.

    Args:
        scope: "before", or the work step that adds it.
        thing: The thing.
        out: The work step that takes it out, or "".
    """

    scope: str
    thing: Thing
    out: str = ""

    @property
    def work(self) -> Work:
        """E found, N added by the work, R taken out by it."""
        return "R" if self.out else "E" if self.scope == "before" else "N"


def things_of(job: Job, collection: str) -> Iterator[Standing]:
    """Every thing of a collection, as found and as added by the work, in that order."""
    out = {ident: step.id for step in job.work for ident in step.remove}
    for thing in getattr(job.before, collection):
        yield Standing("before", thing, out.get(thing.id, ""))
    for step in job.work:
        for thing in getattr(step.add, collection):
            yield Standing(step.id, thing, out.get(thing.id, ""))


def found(job: Job, collection: str, ident: str) -> Standing | None:
    """A thing of a collection, None where it is not there yet."""
    return next((each for each in things_of(job, collection) if each.thing.id == ident), None)


def plain(value: Any) -> Any:
    """A value as an edit carries it."""
    if hasattr(value, "model_dump"):
        return value.model_dump(mode="json", exclude_none=True)
    if isinstance(value, tuple | list):
        return [plain(each) for each in value]
    if isinstance(value, dict):
        return {name: plain(each) for name, each in value.items()}
    return value if value is None or isinstance(value, bool | int) else str(value)


def added(scope: str, collection: str, ident: str, fields: Mapping[str, Any]) -> EditData:
    """The edit that adds a thing with the fields that are known."""
    known = {name: plain(value) for name, value in fields.items() if value not in (None, (), {}, "")}
    return {"do": "add", "step": scope, "collection": collection, "thing": {"id": ident, **known}}


def changed(at: Standing, fields: Mapping[str, Any]) -> list[EditData]:
    """The edits that bring a thing to the fields given; nothing for those it has."""
    out = []
    for name, value in fields.items():
        now, wanted = plain(getattr(at.thing, name)), plain(value)
        if now in (None, [], {}) and wanted in (None, [], {}):
            continue
        if now != wanted:
            out.append({"do": "set", "path": f"{at.scope}/{at.thing.id}.{name}", "value": wanted or None})
    return out


def struck_out(at: Standing) -> EditData:
    """The edit that strikes out a thing recorded in error; what names it lets go of it."""
    return {"do": "remove", "path": f"{at.scope}/{at.thing.id}", "cascade": True}


def work_step(job: Job, fresh: str, say: str) -> tuple[str, list[EditData]]:
    """The step of the work that new things go into, and the edit that makes it where there is none."""
    if job.work:
        return job.work[0].id, []
    return fresh, [{"do": "add_step", "id": fresh, "say": say}]
