"""Edits of any thing of a job: added to its list, taken out by the work, struck out, given a photo."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from deadfront.app.record_entry import PREFIX as PREFIX_OF_RECORDS
from deadfront.app.record_entry import Sent, save
from deadfront.documents.html import photo_media
from deadfront.errors import NotAllowed, NotFound
from deadfront.job.things import COLLECTIONS
from deadfront.web.changing import fresh, work_wanted
from deadfront.web.circuits_page import KIND, kinds_for
from deadfront.web.desk import AtJob
from deadfront.web.entry import typed as t
from deadfront.web.entry.places import EditData, Standing, added, found, struck_out, work_step
from deadfront.web.views.typed import Form, field_of

__all__ = ["add_edits", "out_edits", "photo_media", "take_photo", "work_edits_of"]

PREFIX = {
    "meters": "m", "panels": "p", "breakers": "b", "circuits": "c", "outlets": "x", "units": "u", "loads": "l",
    "sources": "s", "electrodes": "n", "structures": "d", "raceways": "y", "boxes": "k", "openings": "o", "gear": "g",
    "hazards": "h", "transfers": "t", "switches": "q", "signals": "z", "channels": "ch",
    "instruments": "ins",
}  # fmt: skip
"""First letter of an id by the list it is for."""


def add_edits(at: AtJob, form: Form) -> list[EditData]:
    """The edits that add a thing to its list, found or new.

    Raises:
        NotFound: no such list.
        BadEntry: a kind that is none.
    """
    collection = field_of(form, "list")
    if collection not in PREFIX:
        raise NotFound("web.not_found")
    kinds = {kind: kind for kind, _ in kinds_for(at, collection)}
    fields: dict[str, Any] = {"name": t.text_of("name", field_of(form, "name"))}
    if kinds:
        kind = t.one_of("kind", field_of(form, "kind"), kinds)
        if kind is None:
            raise t.BadEntry("kind", "entry.not_allowed", found="", allowed=tuple(kinds))
        fields[KIND.get(collection, "kind")] = kind
    wanted, step = work_wanted(at.job, field_of(form, "work"))
    made: list[EditData] = []
    if wanted == "N" and not step:
        step, made = work_step(at.job, fresh(at)("w"), at.catalog.key("web.new_work"))
    return [*made, added(step if wanted == "N" else "before", collection, fresh(at)(PREFIX[collection]), fields)]


def standing_of(at: AtJob, ident: str) -> tuple[str, Standing]:
    """The list a thing stands in, and the thing.

    Raises:
        NotFound: no such thing.
    """
    for collection in COLLECTIONS:
        line = found(at.job, collection, ident)
        if line is not None:
            return collection, line
    raise NotFound("web.not_found")


def out_edits(at: AtJob, ident: str) -> tuple[str, list[EditData]]:
    """The list of a thing, and the edit that strikes it out."""
    collection, line = standing_of(at, ident)
    return collection, [struck_out(line)]


def work_edits_of(at: AtJob, ident: str) -> list[EditData]:
    """The edits that have the work take a thing out, or leave it where it is taken out already.

    Raises:
        BadEntry: the work adds it itself.
    """
    line = standing_of(at, ident)[1]
    if line.scope != "before":
        raise t.BadEntry("work", "entry.work.new_cannot_go")
    if line.out:
        return [{"do": "put_back", "step": line.out, "id": ident}]
    step, made = work_step(at.job, fresh(at)("w"), at.catalog.key("web.new_work"))
    return [*made, {"do": "take_out", "step": step, "id": ident}]


def take_photo(at: AtJob, ident: str, path: Path, key: Mapping[str, str] | None = None) -> None:
    """Attach a photo to a hazard, a record, a terminal or a correction, with its place stripped.

    Args:
        key: What a record is of, where there is none of that id yet: its list as "of", test, thing, stage.
    Raises:
        NotAllowed: none was sent, or the thing takes no photo.
        UnsafeFile: it is no photo, or a malformed one.
    """
    of = (key or {}).get("of", "")
    if of in PREFIX_OF_RECORDS and not any(found(at.job, each, ident) for each in PREFIX_OF_RECORDS):
        first = Sent(of, ident, key or {}, "on", at.web.settings.today().isoformat(), soft=True)
        ident = save(at.web.desk, at.id, [first], at.who).ids[ident]
        at = at.again()
    line = standing_of(at, ident)[1]
    if "photo" not in type(line.thing).model_fields or not path.stat().st_size:
        raise NotAllowed("web.photo.none_sent")
    data = path.read_bytes()
    name = f"photo-{ident}-{at.opened.revision}"
    at.web.desk.attach(at.id, data, photo_media(data), name)
    at.web.desk.apply(at.id, at.opened.revision, [_set(line, ident, name)], at.who)


def _set(line: Standing, ident: str, name: str) -> EditData:
    return {"do": "set", "path": f"{line.scope}/{ident}.photo", "value": name}
