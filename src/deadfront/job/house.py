"""The house at any step of the work, each thing with its tag: E existing, N new, R removed, RL relocated."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, TypeVar

from pydantic import ValidationError

from deadfront.errors import EditRefused, NotFound
from deadfront.job.model import Job, WorkStep
from deadfront.job.problems import said_of
from deadfront.job.things import COLLECTIONS, House, Model, Service, Thing

TagLetter = Literal["E", "N", "R", "RL"]


@dataclass(frozen=True, slots=True)
class Tag:
    """What the work does with a thing, and the step that did it ("before" for what was found)."""

    letter: TagLetter
    step: str


@dataclass(frozen=True, slots=True)
class HouseAt:
    """A House at a step: its things, their tags, what has been removed on the way.

    Args:
        house: The things that are there.
        step: "before" or the id of the last step done.
        tags: Tag of every thing ever there, removed ones included.
        removed: Things removed on the way, by id.
        changed: Ids of things whose facts the work sets ("service" too): enlarged, replaced in part.
        set_fields: Which fields the work sets, by the id of the thing ("service" too).
    """

    house: House
    step: str
    tags: Mapping[str, Tag]
    removed: Mapping[str, Thing] = field(default_factory=dict)
    changed: frozenset[str] = frozenset()
    set_fields: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def tag(self, ident: str) -> TagLetter:
        """E, N, R or RL of a thing."""
        return self.tags[ident].letter

    def path(self, thing: Thing, name: str) -> str:
        """Where a fact of a thing stands in the job: "before/l-2xf.nameplate_w"."""
        tag = self.tags[thing.id]
        return f"{tag.step if tag.letter == 'N' else 'before'}/{thing.id}.{name}"


def things(house: House) -> Iterator[tuple[str, Thing]]:
    """Every thing of a house with the name of its collection."""
    for name in COLLECTIONS:
        for thing in getattr(house, name):
            yield name, thing


def merged(old: Any, new: Any) -> Any:
    """A nested mapping with the new values laid over the old ones."""
    if isinstance(old, dict) and isinstance(new, dict):
        return {**old, **{key: merged(old.get(key), value) for key, value in new.items()}}
    return new


class Walker:
    """Carries the collections through the work, one operation after another."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.items: dict[str, dict[str, Thing]] = {c: {t.id: t for t in getattr(job.before, c)} for c in COLLECTIONS}
        self.service: Service = job.before.service
        self.tags: dict[str, Tag] = {ident: Tag("E", "before") for c in self.items.values() for ident in c}
        self.removed: dict[str, Thing] = {}
        self.changed: set[str] = set()
        self.set_fields: dict[str, frozenset[str]] = {}

    def collection_of(self, ident: str, step: WorkStep) -> str:
        """The collection that a thing stands in.

        Raises:
            EditRefused: it is not there, or no longer.
        """
        for name, items in self.items.items():
            if ident in items:
                return name
        key = "job.work.already_removed" if ident in self.removed else "job.work.no_such_thing"
        raise EditRefused(key, id=ident, step=step.say)

    def change(self, ident: str, fields: dict[str, Any], step: WorkStep) -> None:
        """Lay new fields over a thing.

        Raises:
            EditRefused: it is not there, or the fields do not fit it.
        """
        name = self.collection_of(ident, step)
        old = self.items[name][ident]
        if fields.get("id", ident) != ident:
            raise EditRefused("job.work.id_changed", id=ident, step=step.say)
        self.items[name][ident] = _changed(type(old), old, fields, ident, step)

    def remove(self, ident: str, step: WorkStep) -> None:
        """Take a thing out.

        Raises:
            EditRefused: it is not there, or no longer.
        """
        name = self.collection_of(ident, step)
        self.removed[ident] = self.items[name].pop(ident)
        self.tags[ident] = Tag("R", step.id)

    def add(self, step: WorkStep) -> None:
        """Put in what a step adds.

        Raises:
            EditRefused: an id that was used before, even if removed since.
        """
        for name in COLLECTIONS:
            for thing in getattr(step.add, name):
                if thing.id in self.tags:
                    raise EditRefused("job.work.id_used_twice", id=thing.id, step=step.say)
                self.items[name][thing.id] = thing
                self.tags[thing.id] = Tag("N", step.id)

    def move(self, ident: str, fields: dict[str, Any], step: WorkStep) -> None:
        """Put a thing elsewhere; what was found becomes relocated."""
        self.change(ident, fields, step)
        if self.tags[ident].letter == "E":
            self.tags[ident] = Tag("RL", step.id)

    def set(self, ident: str, fields: dict[str, Any], step: WorkStep) -> None:
        """Change facts of a thing or of the service."""
        if ident == "service":
            self.service = _changed(Service, self.service, fields, ident, step)
        else:
            self.change(ident, fields, step)
        self.changed.add(ident)
        self.set_fields[ident] = self.set_fields.get(ident, frozenset()) | frozenset(fields)

    def take(self, step: WorkStep) -> None:
        """Do all of a step: remove, add, move, set."""
        for ident in step.remove:
            self.remove(ident, step)
        self.add(step)
        for ident, fields in step.move.items():
            self.move(ident, fields, step)
        for ident, fields in step.set.items():
            self.set(ident, fields, step)

    def house(self, step: str) -> HouseAt:
        """The house as the walk stands."""
        parts: dict[str, Any] = {name: tuple(items.values()) for name, items in self.items.items()}
        built = House.model_construct(complete=self.job.before.complete, service=self.service, **parts)
        return HouseAt(built, step, dict(self.tags), dict(self.removed), frozenset(self.changed), dict(self.set_fields))


M = TypeVar("M", bound=Model)


def _changed(model: type[M], old: M, fields: dict[str, Any], ident: str, step: WorkStep) -> M:
    """A model with new fields laid over it.

    Raises:
        EditRefused: the fields do not fit; the message holds what was found and what is allowed.
    """
    try:
        data: dict[str, Any] = merged(old.model_dump(), fields)
        return model.model_validate(data)
    except ValidationError as error:
        problem = said_of(error.errors(include_url=False)[0], model)
        raise EditRefused("job.work.bad_change", id=ident, step=step.say, problem=problem,
                          field=problem.params["field"], found=problem.params.get("found", ""),
                          allowed=problem.params.get("allowed", "")) from error  # fmt: skip


def house_at(job: Job, at: str | None = None) -> HouseAt:
    """The house at a step: "before", a step id (that step done), or None for the last.

    Raises:
        NotFound: no such step.
        EditRefused: a step names a thing that is not there, or adds an id used before.
    """
    walker = Walker(job)
    if at == "before":
        return walker.house("before")
    done = "before"
    for step in job.work:
        walker.take(step)
        done = step.id
        if step.id == at:
            return walker.house(done)
    if at is not None:
        raise NotFound("job.work.no_such_step", step=at)
    return walker.house(done)
