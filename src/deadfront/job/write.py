"""A job as the text of a job file, in one settled order: the same job always gives the same text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from deadfront.job.model import FORMAT, Job, WorkStep
from deadfront.job.problems import KeptBlock
from deadfront.job.things import COLLECTIONS, Thing
from deadfront.job.toml_text import field_lines, key_of, table_text, value_of


def write_job(job: Job, kept: Iterable[KeptBlock] = ()) -> str:
    """The text of a job file.

    Args:
        job: The job.
        kept: Blocks set aside when it was read; written back word for word.
    """
    ids = {"before", "", *(step.id for step in job.work)}
    every = [each if each.within in ids else replace(each, within="") for each in kept]
    return "\n".join(part.rstrip("\n") + "\n" for part in _parts(job, every) if part.strip())


def _parts(job: Job, kept: list[KeptBlock]) -> Iterator[str]:
    yield "".join(_blocks(kept, lambda k: not k.place and not k.line_only))
    yield _lines([f"assumptions = {value_of(list(job.assumptions))}"] if job.assumptions else [], kept, ())
    head = [f"format = {FORMAT}", *field_lines(job.job)]
    yield _table("[job]", head, kept, ("job",), always=True)
    yield "".join(_blocks(kept, lambda k: k.place[:1] == ("job",) and not k.line_only))
    before = job.before
    yield _table("[before]", field_lines(before.complete, "complete."), kept, ("before",), always=bool(kept))
    yield _table("[before.service]", field_lines(before.service), kept, ("before", "service"), always=bool(kept))
    yield from _blocks(kept, lambda k: k.place[:1] == ("before",) and _loose(k))
    yield from _things(before, "before")
    yield from _blocks(kept, lambda k: k.place[:1] == ("before",) and not k.line_only and not _loose(k))
    yield from _blocks(kept, lambda k: k.place[:1] == ("work",) and k.within == "before" and not k.line_only)
    for step in job.work:
        yield from _step(step, kept)
    yield _table("[choices]", field_lines(job.choices), kept, ("choices",), always=bool(kept))
    for amendment in job.amendments:
        yield table_text("[[amendments]]", amendment)
    for origin in job.origins:
        yield "\n".join(["[[origins]]", *field_lines(origin)]) + "\n"
    own = ("before", "work", "job")
    yield from _blocks(kept, lambda k: bool(k.place) and k.place[0] not in own and not k.line_only)
    yield from _blocks(kept, lambda k: k.place[:1] == ("work",) and not k.within and not k.line_only)


def _loose(each: KeptBlock) -> bool:
    """Below a collection, but of none of its things: written before them, lest it bind to the last."""
    return not each.line_only and len(each.place) > 2 and not any(isinstance(part, int) for part in each.place)


def _blocks(kept: list[KeptBlock], which: Any) -> Iterator[str]:
    return (each.text for each in kept if which(each))


def _things(owner: Any, above: str) -> Iterator[str]:
    for name in COLLECTIONS:
        for thing in getattr(owner, name):
            yield thing_text(thing, f"{above}.{name}")


def thing_text(thing: Thing, name: str) -> str:
    """The block of one thing."""
    return "\n".join([f"[[{name}]]", *field_lines(thing)]) + "\n"


def _own_lines(kept: list[KeptBlock], place: tuple[Any, ...], within: str = "") -> list[str]:
    """The fields set aside that stood straight in this table."""
    tables = {("before",): (("before", "complete"),)}.get(place, ())
    found = []
    for each in kept:
        if not each.line_only or (within and each.within != within):
            continue
        prefix = tables[0][-1] + "." if tables and each.place[: len(tables[0])] == tables[0] else ""
        if _table_of(each.place) == place or prefix:
            found.append(prefix + each.text.rstrip("\n"))
    return found


def _table_of(place: tuple[Any, ...]) -> tuple[Any, ...]:
    """The table that a field is written in."""
    if place[:2] == ("before", "service") and len(place) > 2:
        return place[:2]
    if place[:1] in (("before",), ("job",), ("choices",)) and len(place) > 1:
        return place[:1]
    return ("work",) if place[:1] == ("work",) and len(place) > 2 else ()


def _lines(lines: list[str], kept: list[KeptBlock], place: tuple[Any, ...], within: str = "") -> str:
    every = _joined([*lines, *_own_lines(kept, place, within)])
    return "\n".join(every) + "\n" if every else ""


def _joined(lines: list[str]) -> list[str]:
    """Lines of a table with two lists of the same name made one."""
    found: dict[str, str] = {}
    for line in lines:
        key, _, value = line.partition(" = ")
        if key in ("remove", "assumptions") and key in found and value.startswith("["):
            inner = ", ".join(part for part in (found[key].partition(" = ")[2][1:-1], value[1:-1]) if part)
            found[key] = f"{key} = [{inner}]"
        else:
            found.setdefault(key, line)
    return list(found.values())


def _table(
    header: str, lines: list[str], kept: list[KeptBlock], place: tuple[Any, ...], *, always: bool = False
) -> str:
    body = _lines(lines, kept, place)
    return f"{header}\n{body}" if body or always else ""


def _step(step: WorkStep, kept: list[KeptBlock]) -> Iterator[str]:
    lines = field_lines(step, leave=("add",))
    yield "[[work]]\n" + _lines(lines, kept, ("work",), step.id)
    yield from _things(step.add, "work.add")
    yield from _blocks(kept, lambda k: k.place[:1] == ("work",) and k.within == step.id and not k.line_only)


HEAD = """\
# A job file: what was seen and what was decided for one house. Plain text; any editor will do.
# A field left out is not known, never zero. Amounts may be typed with units: "4.5 kW", "62 ft", "3/0 Al".
"""  # words-ok: comments of the file itself

TAUGHT = """\

# The house as found, before any work. `complete` says whether a list holds all there is: yes, no, unknown.
[before]
# complete.loads = "yes"

[before.service]
# system = "120/240 1ph 3w"
# disconnect.rating_a = 100       # marked on the main
# conductors.size = "4 Al"

# One block for each thing. Ids are short, and never used twice:
# [[before.panels]]
# id = "p-k3m"
# name = "Main panel"
# fed_by = "service"
#
# [[before.loads]]
# id = "l-2xf"
# kind = "range"
# nameplate_w = 12000

# The work, in the order it is done. Each step may add, remove, move and set:
# [[work]]
# id = "w-4c1"
# say = "EV charger in the garage"
# [[work.add.loads]]
# id = "l-5rt"
# kind = "evse"
# nameplate_a = 32

# Where a fact comes from:
# [[origins]]
# of = "before/l-2xf.nameplate_w"
# from = "nameplate"
# who = "J. R."
"""  # words-ok


def new_job_text(head: Mapping[str, Any]) -> str:
    """The text of a fresh job file, with comments that say how to fill it in.

    Args:
        head: Fields of [job]: name, code = {"edition": "2023"}, place, owner ...
    """
    lines = ["format = 1"]
    for key, value in head.items():
        if key == "format" or value is None:
            continue
        if isinstance(value, Mapping):
            lines += [f"{key_of(key)}.{key_of(k)} = {value_of(v)}" for k, v in value.items()]
        else:
            lines.append(f"{key_of(key)} = {value_of(value)}")
    return HEAD + "\n[job]\n" + "\n".join(lines) + "\n" + TAUGHT
