"""The fields of what a recording file means: what it leaves open, the whole file, its columns, what it is of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from deadfront.documents.catalog import Catalog
from deadfront.web.entry.recordings import FACTS, MEASURES, TAKEN
from deadfront.web.fields import yes_no
from deadfront.web.pieces import Field
from deadfront.web.recording_pieces import ColumnFields, Question

if TYPE_CHECKING:
    from deadfront.app.recording_drafts import Draft
    from deadfront.recordings.guess import Doubt
    from deadfront.recordings.mapping import Column
    from deadfront.recordings.mapping import Mapping as Columns

Options = tuple[tuple[str, str], ...]
OF_TEXT = ("separator", "encoding", "header_line", "first_line", "decimal", "thousands")
GENERAL = (*OF_TEXT, "stamp_form", "date_order", "zone", "offsets", "stamps", "clock", "interval_min")
NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", ".": "point", " ": "blank", "'": "apostrophe"}
PLACES = (
    "America/New_York", "America/Chicago", "America/Denver", "America/Phoenix", "America/Los_Angeles",
    "America/Anchorage", "Pacific/Honolulu", "America/Puerto_Rico", "UTC",
)  # fmt: skip
EXAMPLE_LETTERS = 40
MOST_COLUMNS = 60


def zones(catalog: Catalog) -> Options:
    """Places whose clock is often meant; any other IANA name may be typed."""
    return tuple((name, catalog.key(f"web.recording.place.{name.replace('/', '_').lower()}")) for name in PLACES)


def _choices(catalog: Catalog, name: str) -> Options:
    """What may be chosen for a fact of the whole file; nothing where it is typed."""
    from deadfront.recordings import mapping as m

    say, none = catalog.key, ("", catalog.key("web.recording.unsaid"))

    def each(values: tuple[str, ...], head: str) -> Options:
        return tuple((value, say(f"{head}.{NAMES.get(value, value)}")) for value in values)

    return {
        "separator": each(m.SEPARATORS, "web.recording.separator"),
        "encoding": tuple((value, value.upper()) for value in m.ENCODINGS),
        "decimal": (none, *each((".", ","), "web.recording.mark_of")),
        "thousands": (("", say("web.recording.mark_of.none")), *each((",", ".", " ", "'"), "web.recording.mark_of")),
        "stamp_form": each(m.STAMP_FORMS, "recordings.form"),
        "date_order": (none, *each(m.DATE_ORDERS, "recordings.order")),
        "offsets": (("", say("web.recording.offsets.none")), *each(("written",), "web.recording.offsets")),
        "stamps": each(m.STAMPS, "web.recording.stamps"),
        "clock": each(m.CLOCKS, "web.recording.clock"),
        "unit": (none, *((unit, say("web.recording.other_unit") if unit == "other" else unit) for unit in m.UNITS)),
        "kind": (none, *each(m.KINDS, "recordings.kind")),
        "leg": (none, ("L1", "L1"), ("L2", "L2"), ("both", say("web.recording.both"))),
        "use": each(m.USES, "web.recording.use"),
    }.get(name, ())


def _field(catalog: Catalog, name: str, value: str, path: str = "", like: str = "") -> Field:
    return Field(path or name, catalog.key(f"web.recording.field.{name}"), value, _choices(catalog, name), like)


def _value(name: str, mapping: Columns, typed: Mapping[str, str]) -> str:
    """How a fact of the whole file stands; what was typed where it could not be taken."""
    if name in ("header_line", "first_line"):
        return typed.get(name) or str(getattr(mapping, name) + 1)
    if name == "interval_min":
        return typed.get(name) or (str(mapping.interval_s // 60) if mapping.interval_s else "")
    return typed.get(name, "") if name == "zone" and typed.get(name) else str(getattr(mapping, name))


# --- what the file leaves open ------------------------------------------------------------------------------------
def questions(
    catalog: Catalog, draft: Draft, mapping: Columns | None, typed: Mapping[str, str]
) -> tuple[Question, ...]:
    """What the file cannot settle, what must be answered first; none where its heading was explained before."""
    if draft.guess is None or mapping is None or draft.remembered is not None:
        return ()
    found = [_question(catalog, doubt, draft, mapping, typed) for doubt in draft.guess.doubts]
    unique: dict[str, Question] = {}
    for each in found:
        unique.setdefault(each.field.path, each)
    return tuple(sorted(unique.values(), key=lambda each: not each.must))


def _question(catalog: Catalog, doubt: Doubt, draft: Draft, mapping: Columns, typed: Mapping[str, str]) -> Question:
    say = catalog.say(doubt.say)
    if not doubt.column:
        field = _field(catalog, doubt.field, _value(doubt.field, mapping, typed), like="America/Denver")
        return Question(say, field, doubt.must)
    assert draft.table is not None
    number = _number(draft.table.names, doubt.column)
    column = _at(mapping, draft.table.names, number)
    value = getattr(column, doubt.field) if column is not None else ""
    return Question(say, _field(catalog, doubt.field, value, f"{doubt.field}.{number}"), doubt.must)


def _number(names: tuple[str, ...], column: str) -> int:
    if column in names:
        return names.index(column)
    return int(column) if column.isdigit() and int(column) < len(names) else 0


def _at(mapping: Columns, names: tuple[str, ...], number: int) -> Column | None:
    """What the mapping says of the column of this number."""
    name = names[number]
    return next((each for each in mapping.columns if each.at in (number, name) and each.at != ""), None)


# --- the whole file, its columns, what it is of -------------------------------------------------------------------
def general_fields(
    catalog: Catalog, draft: Draft, mapping: Columns | None, typed: Mapping[str, str], placed: frozenset[str]
) -> tuple[Field, ...]:
    """Facts of the whole file that are not asked above."""
    if mapping is None:
        return ()
    left_out = {*placed, *(OF_TEXT if draft.form == "parquet" else ())}
    like = {"zone": "America/Denver", "interval_min": "15"}
    return tuple(
        _field(catalog, name, _value(name, mapping, typed), like=like.get(name, ""))
        for name in GENERAL if name not in left_out
    )  # fmt: skip


def column_fields(
    catalog: Catalog, draft: Draft, mapping: Columns | None, placed: frozenset[str]
) -> tuple[ColumnFields, ...]:
    """The columns in their order, those left out too."""
    if mapping is None or draft.table is None:
        return ()
    names, rows = draft.table.names, draft.table.rows
    return tuple(
        ColumnFields(
            name or str(number + 1), rows[0][number].strip()[:EXAMPLE_LETTERS] if rows else "",
            tuple(_of_column(catalog, _at(mapping, names, number), number, placed)),
        )
        for number, name in enumerate(names[:MOST_COLUMNS])
    )  # fmt: skip


def _of_column(catalog: Catalog, column: Column | None, number: int, placed: frozenset[str]) -> Iterator[Field]:
    use = column.use if column else "ignore"
    yield _field(catalog, "use", use, f"use.{number}")
    if column is None or use != "value":
        return
    for name in ("unit", "kind", "leg"):
        if f"{name}.{number}" not in placed:
            yield _field(catalog, name, getattr(column, name), f"{name}.{number}")


def fact_fields(catalog: Catalog, typed: Mapping[str, str]) -> tuple[Field, ...]:
    """What is said of the recording beside its file; nothing said stays not known."""
    say, unknown = catalog.key, ("", catalog.key("web.known.unknown"))
    options: dict[str, Options] = {
        "measures": (unknown, *((o, say(f"web.recording.measures.{o.replace(' ', '_').lower()}")) for o in MEASURES)),
        "taken": (unknown, *((o, say(f"web.recording.taken.{o}")) for o in TAKEN)),
        "occupied": yes_no(catalog),
        "heavier_leg": yes_no(catalog),
    }
    like = {"season_load_va": "4.5 kW", "power_factor": "0.95"}
    return tuple(
        Field(name, say(f"web.recording.fact.{name}"), typed.get(name, ""), options.get(name, ()), like.get(name, ""))
        for name in FACTS
    )
