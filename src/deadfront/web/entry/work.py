"""Found, new or taken out: what the work does with a line, and the edits that change it."""

from __future__ import annotations

from collections.abc import Iterable

from deadfront.job.model import Job
from deadfront.job.things import Breaker, Circuit, Load
from deadfront.web.entry.places import EditData, Standing, added, struck_out, things_of
from deadfront.web.entry.typed import BadEntry

COLLECTION = {"b": "breakers", "c": "circuits", "l": "loads", "p": "panels", "u": "units",
              "s": "sources"}  # fmt: skip


def work_edits(job: Job, lines: Iterable[Standing], wanted: str, step: str, exact: bool = False) -> list[EditData]:
    """The edits that make a line found (E), new (N) or taken out (R).

    Args:
        lines: The thing, or the circuit and its breaker.
        step: The work step that adds or takes out.
        exact: That very step, where there are several.
    Raises:
        BadEntry: what the work adds cannot also be taken out by it here.
    """
    lines = list(lines)
    edits: list[EditData] = []
    for at in lines:
        if at.work == wanted and not (exact and elsewhere(at, wanted, step)):
            continue
        if wanted == "R" and at.scope != "before":
            raise BadEntry("work", "entry.work.new_cannot_go")
        if at.out:
            edits.append({"do": "put_back", "step": at.out, "id": at.thing.id})
        if wanted == "R":
            edits.append({"do": "take_out", "step": step, "id": at.thing.id})
    moving = [at for at in lines if wanted in ("E", "N") and (at.scope == "before") != (wanted == "E")]
    moving += [at for at in lines if exact and wanted == "N" and at.scope not in ("before", step)]
    return edits + _moved(job, moving, "before" if wanted == "E" else step)


def elsewhere(at: Standing, wanted: str, step: str) -> bool:
    """Whether a line is added or taken out by another step than the one wanted."""
    return (at.scope if wanted == "N" else at.out) != step and wanted != "E"


def _moved(job: Job, lines: list[Standing], scope: str) -> list[EditData]:
    """The things struck out here and added there under their ids, with what names them bound again."""
    edits = [struck_out(at) for at in lines]
    for at in sorted(lines, key=lambda each: "bcl".find(each.thing.id[0])):
        fields = at.thing.model_dump(mode="json", exclude_none=True, exclude_defaults=True)
        fields.pop("id", None)
        collection = COLLECTION[at.thing.id.partition("-")[0]]
        edits.append(added(scope, collection, at.thing.id, fields))
    moved = {at.thing.id for at in lines}
    return edits + [edit for ident in moved for edit in _bound_again(job, ident, moved)]


def _bound_again(job: Job, ident: str, moved: set[str]) -> list[EditData]:
    names = (("loads", "circuit", Load), ("circuits", "breaker", Circuit), ("circuits", "shares_neutral_with", Circuit),
             ("breakers", "tied_with", Breaker))  # fmt: skip
    return [
        {"do": "set", "path": f"{at.scope}/{at.thing.id}.{field}", "value": ident}
        for collection, field, model in names
        for at in things_of(job, collection)
        if isinstance(at.thing, model) and getattr(at.thing, field) == ident and at.thing.id not in moved
    ]
