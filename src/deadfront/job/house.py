"""The house at any step of the work, each thing with its tag: E existing, N new, R removed, RL relocated."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from pydantic import ValidationError

from deadfront.errors import EditRefused, NotFound
from deadfront.job.model import Job, WorkStep
from deadfront.job.things import COLLECTIONS, House, Service, Thing

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
    """

    house: House
    step: str
    tags: Mapping[str, Tag]
    removed: Mapping[str, Thing] = field(default_factory=dict)

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


class _Walker:
    """Carries the collections through the work, one step after another."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.items: dict[str, dict[str, Thing]] = {c: {t.id: t for t in getattr(job.before, c)} for c in COLLECTIONS}
        self.service: Service = job.before.service
        self.tags: dict[str, Tag] = {ident: Tag("E", "before") for c in self.items.values() for ident in c}
        self.removed: dict[str, Thing] = {}

    def collection_of(self, ident: str, step: WorkStep) -> str:
        for name, items in self.items.items():
            if ident in items:
                return name
        raise EditRefused("job.work.no_such_thing", id=ident, step=step.say)

    def change(self, ident: str, fields: dict[str, Any], step: WorkStep) -> None:
        name = self.collection_of(ident, step)
        old = self.items[name][ident]
        try:
            self.items[name][ident] = type(old).model_validate(merged(old.model_dump(), fields) | {"id": ident})
        except ValidationError as error:
            first = error.errors()[0]
            where = ".".join(str(part) for part in first["loc"])
            raise EditRefused(
                "job.work.bad_change", id=ident, step=step.say, field=where, problem=first["msg"]
            ) from error

    def take(self, step: WorkStep) -> None:
        for ident in step.remove:
            name = self.collection_of(ident, step)
            self.removed[ident] = self.items[name].pop(ident)
            self.tags[ident] = Tag("R", step.id)
        for name in COLLECTIONS:
            for thing in getattr(step.add, name):
                if thing.id in self.tags:
                    raise EditRefused("job.work.id_used_twice", id=thing.id, step=step.say)
                self.items[name][thing.id] = thing
                self.tags[thing.id] = Tag("N", step.id)
        for ident, fields in step.move.items():
            self.change(ident, fields, step)
            if self.tags[ident].letter == "E":
                self.tags[ident] = Tag("RL", step.id)
        for ident, fields in step.set.items():
            if ident == "service":
                try:
                    self.service = Service.model_validate(merged(self.service.model_dump(), fields))
                except ValidationError as error:
                    raise EditRefused("job.work.bad_change", id=ident, step=step.say, field="service",
                                      problem=error.errors()[0]["msg"]) from error  # fmt: skip
            else:
                self.change(ident, fields, step)

    def house(self, step: str) -> HouseAt:
        parts = {name: tuple(items.values()) for name, items in self.items.items()}
        built = House.model_construct(complete=self.job.before.complete, service=self.service, **parts)
        return HouseAt(built, step, dict(self.tags), dict(self.removed))


def house_at(job: Job, at: str | None = None) -> HouseAt:
    """The house at a step: "before", a step id (that step done), or None for the last.

    Raises:
        NotFound: no such step.
        EditRefused: a step names a thing that is not there, or adds an id used before.
    """
    walker = _Walker(job)
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
