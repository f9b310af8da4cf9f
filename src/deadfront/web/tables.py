"""The entry tables of a job: their columns, lines, and blank lines with ids of their own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from deadfront.codebook.kinds import load_kinds
from deadfront.documents.catalog import Catalog
from deadfront.job.model import Job
from deadfront.job.things import Breaker, Circuit, Load
from deadfront.web.desk import AtJob, NewIds
from deadfront.web.entry.circuits import circuit_values, spaces_text
from deadfront.web.entry.loads import load_values
from deadfront.web.entry.places import Standing, found, things_of
from deadfront.web.entry.rows import MAIN_AT, SOURCES, thing_values
from deadfront.web.fields import breakers
from deadfront.web.pieces import Column, EntryTable, Field, Row

BLANKS = {"units": 1, "panels": 1, "circuits": 6, "loads": 6, "sources": 1}
PREFIX = {"units": "u", "panels": "p", "circuits": "c", "loads": "l", "sources": "s"}
PROTECTIONS = ("plain", "ground fault", "arc fault", "both")
ANCHORS = {
    "area": "floor_area_ft2", "small": "small_appliance_circuits", "laundry": "laundry_circuits", "bus": "bus_a",
    "nameplate": "nameplate_w", "circuit": "circuit", "volts": "volts",
}  # fmt: skip
"""Columns that a fact to find out leads to."""


def kind_words(catalog: Catalog) -> dict[str, str]:
    """What each kind of load is called."""
    return {kind: catalog.key(f"kind.{kind}") if catalog.has(f"kind.{kind}") else kind.replace("_", " ")
            for kind in load_kinds()}  # fmt: skip


def kinds_said(catalog: Catalog) -> dict[str, str]:
    """Every word that may be typed for a kind of load: its name, its plain key, what else the trade calls it."""
    said = {kind.replace("_", " "): kind for kind in load_kinds()}
    for kind, word in kind_words(catalog).items():
        also = catalog.key(f"web.also.{kind}").split(",") if catalog.has(f"web.also.{kind}") else ()
        said |= {each.strip().lower(): kind for each in (word, *also)}
    return said


def circuit_choices(job: Job) -> tuple[tuple[str, str], ...]:
    """Every circuit by what is typed to mean it, and its name."""
    breakers = {at.thing.id: at.thing for at in things_of(job, "breakers")}
    out = []
    for at in things_of(job, "circuits"):
        assert isinstance(at.thing, Circuit)
        breaker = breakers.get(at.thing.breaker or "")
        place = spaces_text(breaker) if isinstance(breaker, Breaker) else ""
        out.append((place or at.thing.name or at.thing.id, at.thing.name or ""))
    return tuple(out)


def columns_of(key: str, at: AtJob) -> tuple[Column, ...]:
    """The columns of a table, in the order they are pasted."""
    catalog = at.catalog

    def head(name: str) -> str:
        return catalog.key(f"web.column.{key}.{name}")

    def options(names: tuple[str, ...], words: str) -> tuple[tuple[str, str], ...]:
        return (("", ""), *((name, catalog.key(f"web.{words}.{name.replace(' ', '_')}")) for name in names))

    if key == "units":
        return (Column("name", head("name")), Column("area", head("area"), True, like="1,840 sq ft"),
                Column("small", head("small"), True, like="2"), Column("laundry", head("laundry"), True, like="1"),
                Column("count", head("count"), True, like="1"))  # fmt: skip
    if key == "panels":
        fed = (("", ""), ("service", catalog.key("web.fed.service")), *breakers(at.job))
        return (Column("name", head("name"), like=catalog.key("web.like.panel")),
                Column("bus", head("bus"), True, like="125 A"), Column("spaces", head("spaces"), True, like="28"),
                Column("main_at", head("main_at"), options=options(tuple(MAIN_AT), "main_at")),
                Column("fed_by", head("fed_by"), options=fed))  # fmt: skip
    if key == "sources":
        return (Column("kind", head("kind"), options=options(SOURCES, "source")),
                Column("name", head("name"), like=catalog.key("web.like.source")),
                Column("output", head("output"), True, like="7.6 kW"),
                Column("volts", head("volts"), True, like="240"))  # fmt: skip
    if key == "circuits":
        own = (Column("spaces", head("spaces"), True, like="1, 3"),
               Column("name", head("name"), like=catalog.key("web.like.circuit")),
               Column("rating", head("rating"), True, like="20"), Column("cable", head("cable"), like="12-2 NM"),
               Column("length", head("length"), True, like="38 ft"),
               Column("protection", head("protection"), options=options(PROTECTIONS, "protection")))  # fmt: skip
        panels = tuple((p.thing.id, p.thing.name or p.thing.id) for p in things_of(at.job, "panels"))
        return own if len(panels) < 2 else (*own, Column("panel", head("panel"), options=panels))
    return (Column("what", head("what"), suggestions="kinds", like=catalog.key("web.like.load")),
            Column("circuit", head("circuit"), True, suggestions="circuits", like="1, 3"),
            Column("nameplate", head("nameplate"), True, like="4.5 kW"),
            Column("volts", head("volts"), True, like="240"))  # fmt: skip


def rows_of(key: str, at: AtJob, *, new_only: bool = False) -> list[Row]:
    """The lines there are."""
    lines = [line for line in things_of(at.job, key) if not new_only or line.work == "N"]
    return [_row(key, line, at) for line in lines]


def _row(key: str, line: Standing, at: AtJob) -> Row:
    thing = line.thing
    anchors = {column: f"{line.scope}/{thing.id}.{field}" for column, field in ANCHORS.items()}
    ids: Mapping[str, str] = {key: thing.id}
    if key == "circuits":
        assert isinstance(thing, Circuit)
        held = found(at.job, "breakers", thing.breaker) if thing.breaker else None
        breaker = held.thing if held and isinstance(held.thing, Breaker) else None
        panel = (breaker.panel if breaker else None) or first_panel(at.job)
        values = circuit_values(thing, breaker) | {"panel": panel}
        ids = {"circuits": thing.id, "breakers": thing.breaker or ""}
    elif key == "loads":
        assert isinstance(thing, Load)
        values = load_values(at.job, thing, kind_words(at.catalog))
    else:
        values = thing_values(thing)
    return Row(thing.id, ids, values, True, line.work, doing_of(line.work, line.out or line.scope, at), anchors)


def doing_of(work: str, step: str, at: AtJob) -> str:
    """What the work does with a line, as its choice says it: with several steps, which of them."""
    return work if work == "E" or len(at.job.work) < 2 else f"{work} {step}"


def works_of(at: AtJob) -> tuple[tuple[str, str], ...]:
    """What the work may do with a line: found, new, taken out; with several steps, in which of them."""
    said = {letter: at.catalog.key(f"web.work.{letter.lower()}") for letter in "ENR"}
    if len(at.job.work) < 2:
        return tuple(said.items())
    steps = [(f"{letter} {step.id}", f"{said[letter]}: {step.say}") for letter in "NR" for step in at.job.work]
    return (("E", said["E"]), *steps)


def first_panel(job: Job) -> str:
    """The panel that a new circuit goes into unless another is chosen, "" for none."""
    return next((each.thing.id for each in things_of(job, "panels")), "")


def blank_row(key: str, at: AtJob, ids: NewIds, work: str = "E") -> Row:
    """A line to type into, with the ids it will have."""
    ident = ids(PREFIX[key])
    own = {key: ident} | ({"breakers": ids("b")} if key == "circuits" else {})
    values = {column.name: "" for column in columns_of(key, at)}
    if key == "circuits":
        values["panel"] = first_panel(at.job)
    if key == "units":
        values["count"] = "1"
    step = at.job.work[0].id if at.job.work else ""
    return Row(ident, own, values, False, work, doing_of(work, step, at))


def table_of(key: str, at: AtJob, ids: NewIds, *, wanted: bool = False) -> EntryTable:
    """A table with its lines and its blank lines; `wanted` shows only what the work adds."""
    work = "N" if wanted else "E"
    rows = rows_of(key, at, new_only=wanted)
    rows = [
        row if row.ids.get("breakers", "-") else replace(row, ids={**row.ids, "breakers": ids("b")}) for row in rows
    ]
    rows += [blank_row(key, at, ids, work) for _ in range(BLANKS[key])]
    heading = at.catalog.key("web.table.wanted" if wanted else f"web.table.{key}")
    complete = None if wanted else complete_field(key, at)
    return EntryTable(key, heading, columns_of(key, at), tuple(rows), complete, key in ("circuits", "loads"),
                      works_of(at))  # fmt: skip


def complete_field(key: str, at: AtJob) -> Field:
    """Are these all? yes, no, unknown."""
    value = getattr(at.job.before.complete, key)
    options = tuple((each, at.catalog.key(f"web.known.{each}")) for each in ("yes", "no", "unknown"))
    return Field(f"before/complete.{key}", at.catalog.key(f"web.complete.{key}"), value, options)
