"""Do the work's operations and the ids that things name fit together? What does not is named, never guessed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from deadfront.errors import EditRefused
from deadfront.job.house import HouseAt, Walker, things
from deadfront.job.model import Job, WorkStep
from deadfront.job.problems import likely
from deadfront.job.things import COLLECTIONS, Thing
from deadfront.msg import Msg

if TYPE_CHECKING:
    from deadfront.job.build import Builder

POINTS_TO: Mapping[str, tuple[str, ...]] = {
    "panel": ("panels",),
    "breaker": ("breakers",),
    "circuit": ("circuits",),
    "unit": ("units",),
    "tied_with": ("breakers",),
    "shares_neutral_with": ("circuits",),
    "fed_by": ("breakers", "transfers", "switches", "sources", "meters"),
    "managed_by": ("energy_management",),
    "monitors": ("breakers",),
    "controls": ("loads", "circuits", "breakers"),
    "structure": ("structures",),
    "load": ("loads",),
    "raceway": ("raceways",),
    "serves": ("circuits",),
    "feeder_of": ("panels",),
    "disconnects": ("switches", "breakers"),
    "normal": ("breakers", "switches", "transfers", "sources"),
    "alternate": ("sources", "breakers", "switches", "transfers"),
    "held_apart": ("breakers",),
    "control_feeds": ("sources", "breakers", "circuits", "switches"),
    "sender": tuple(COLLECTIONS),
    "receiver": tuple(COLLECTIONS),
    "powered_by": ("circuits", "breakers", "sources"),
    "loads": ("circuits",),
    "never": ("circuits",),
    "instruments": ("instruments",),
    "tool": ("instruments",),
    "gear": ("gear",),
    "taps_breaker": ("breakers",),
    "measures": ("circuits", "panels", "sources"),
    "thing": tuple(COLLECTIONS),
}
"""Fields that name other things, and the collections these may stand in."""


@cache
def _pointing(kind: type[Thing]) -> tuple[str, ...]:
    """Those fields of a kind of thing that name others."""
    return tuple(field for field in POINTS_TO if field in kind.model_fields)


def references(thing: Thing) -> Iterator[tuple[str, str]]:
    """Every field of a thing that names another thing, with the id it names."""
    for field in _pointing(type(thing)):
        value = getattr(thing, field)
        if isinstance(value, tuple):
            for each in value:
                if "-" in each:
                    yield field, each
        elif isinstance(value, str) and "-" in value:  # no counts, no words such as "house"
            yield field, value


def check_work(job: Job, out: Builder) -> Job:
    """The job with only those operations that can be done; the others are named and kept."""
    walker = Walker(job)
    steps = []
    for number, step in enumerate(job.work):
        steps.append(_doable(step, walker, number, out))
    return job.model_copy(update={"work": tuple(steps)}) if job.work else job


def _doable(step: WorkStep, walker: Walker, number: int, out: Builder) -> WorkStep:
    index = next((n for n, ident in out.step_ids.items() if ident == step.id), number)
    kept: dict[str, Any] = {"remove": (), "move": {}, "set": {}}
    for ident in step.remove:
        if _try(out, step, index, "remove", ident, [ident], lambda i=ident: walker.remove(i, step)):
            kept["remove"] += (ident,)
    walker.add(step)
    for name, act in (("move", walker.move), ("set", walker.set)):
        for ident, fields in getattr(step, name).items():
            if _try(out, step, index, name, ident, fields, lambda i=ident, f=fields, a=act: a(i, f, step)):
                kept[name][ident] = fields
    return step.model_copy(update=kept)


def _try(out: Builder, step: WorkStep, index: int, name: str, ident: str, value: Any, act: Any) -> bool:
    try:
        if name != "remove" and value.get("kind", "other") not in out.kinds and ident[:1] == "l":
            raise EditRefused("job.read.unknown_kind", found=value["kind"], field="kind", allowed=", ".join(out.kinds))
        act()
    except EditRefused as error:
        place = ("work", index)
        params = {"found": ident, "field": name, **error.msg.params}
        out.problem(Msg(error.msg.key, params), f"{step.id}/{ident}", place, aside=True)
        out.keep_line(place, (name,) if name == "remove" else (name, ident), value)
        out.lose("")
        return False
    return True


def check_references(job: Job, out: Builder) -> None:
    """Name every id that a thing points to and that is not there, as found and after the work."""
    walker = Walker(job)
    seen: set[tuple[str, str, str]] = set()
    houses = [walker.house("before")]
    for step in job.work:
        walker.take(step)
    if job.work:
        houses.append(walker.house(job.work[-1].id))
    for house in houses:
        _check_house(house, out, seen)


def _check_house(house: HouseAt, out: Builder, seen: set[tuple[str, str, str]]) -> None:
    where = {thing.id: name for name, thing in things(house.house)}
    for _, thing in things(house.house):
        for field, target in references(thing):
            found = where.get(target)
            if found in POINTS_TO[field] or (thing.id, field, target) in seen:
                continue
            seen.add((thing.id, field, target))
            path = house.path(thing, field)
            params: dict[str, Any] = {"id": thing.id, "field": field, "found": target,
                                      "allowed": ", ".join(POINTS_TO[field])}  # fmt: skip
            if found is None and target in house.removed:
                key = "job.read.reference_removed"
                params["step"] = house.tags[target].step
            elif found is None:
                key = "job.read.no_such_thing"
                params |= likely(target, where if len(seen) < 50 else ())
            else:
                key = "job.read.wrong_sort"
                params["sort"] = found
            out.problem(Msg(key, params), path, out.place_of(thing.id))
