"""A first reading of an unknown file: what it seems to mean, what stays in doubt, and its first rows as understood."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import BinaryIO

from deadfront.msg import Msg, said
from deadfront.recordings import stamps
from deadfront.recordings.columns import NO_TIME, places
from deadfront.recordings.csv_lines import row_time
from deadfront.recordings.guess_columns import Roles, roles_of
from deadfront.recordings.guess_figures import decimal_of, order_of, zone_written
from deadfront.recordings.mapping import CLOCKS, DATE_ORDERS, KINDS, STAMPS, UNITS, Mapping
from deadfront.recordings.numbers import read_number
from deadfront.recordings.sniff import Table, find_table
from deadfront.recordings.trouble import RecordingUnreadable

PREVIEW_ROWS = 5
SAMPLE_ROWS = 300
_SEPARATOR_WORDS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}


@dataclass(frozen=True, slots=True)
class Doubt:
    """A question the file cannot settle.

    Args:
        field: Field of the Mapping, or of its value columns.
        say: The question.
        options: Answers allowed.
        proposed: What seems likeliest; "" where nothing does.
        must: Whether the file cannot be read before it is answered.
        column: The column it is about, "" for the whole file.
    """

    field: str
    say: Msg
    options: tuple[str, ...]
    proposed: str
    must: bool
    column: str = ""


@dataclass(frozen=True, slots=True)
class PreviewRow:
    """One row as understood: its time as ISO text, with Z where it is UTC ("" while not readable), and its figures."""

    cells: tuple[str, ...]
    stamp: str
    values: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Guess:
    """A Mapping as far as the file tells, with what was understood and what must be asked."""

    mapping: Mapping
    understood: tuple[Msg, ...]
    doubts: tuple[Doubt, ...]
    preview: tuple[PreviewRow, ...]


def guess_mapping(head: bytes, *, zone: str = "") -> Guess:
    """What the first bytes of a text file seem to mean; what cannot be told is asked, never assumed in silence.

    Args:
        head: The first bytes; 64 kB are plenty.
        zone: IANA name of the house's place, where it is known.
    Raises:
        RecordingUnreadable: there is no time or no figure in it.
    """
    return guess_table(find_table(head), zone)


def guess_parquet(file: BinaryIO, *, zone: str = "") -> Guess:
    """The same for a Parquet file.

    Raises:
        RecordingUnreadable: it is broken, or there is no time or no figure in it.
    """
    import pyarrow as pa

    from deadfront.recordings.parquet import open_parquet

    opened = open_parquet(file)
    try:
        batch = next(opened.iter_batches(batch_size=SAMPLE_ROWS), None)
        names = opened.schema_arrow.names
        cells = (
            [] if batch is None else [column.cast(pa.string()).fill_null("").to_pylist() for column in batch.columns]
        )
    except (pa.ArrowException, OSError, ValueError, NotImplementedError) as problem:
        raise RecordingUnreadable("recordings.parquet.broken") from problem
    rows = tuple(tuple(row) for row in zip(*cells, strict=True))
    return guess_table(Table("utf-8", ",", 0, 1, tuple(names), rows, 0), zone)


def guess_table(table: Table, zone: str) -> Guess:
    """What a table seems to mean."""
    sample = table.rows[:SAMPLE_ROWS]
    roles = roles_of(table.names, sample)
    times = [row[at] for row in sample for at in roles.time_columns()]
    figures = [row[at] for row in sample for at, _ in roles.values]
    decimal, thousands, decimal_sure = decimal_of(figures, table.separator)
    order, order_by = order_of(times) if roles.form == "written" else ("ymd", "counted")
    clocks = [row[at] for row in sample for at in roles.clock_columns()]
    offsets = "written" if roles.form == "written" and zone_written(clocks) else ""
    mapping = Mapping(
        roles.columns(), table.header_line, table.first_line, table.encoding, table.separator,
        decimal if decimal_sure else "", thousands, roles.form, order, zone, offsets, roles.stamps,
        across_s=roles.across_s,
    )  # fmt: skip
    doubts = _doubts(mapping, roles, decimal, order_by)
    return Guess(mapping, _understood(table, mapping, roles, order_by), doubts, _preview(mapping, table))


def _doubts(mapping: Mapping, roles: Roles, decimal: str, order_by: str) -> tuple[Doubt, ...]:
    found = []
    if not mapping.zone:
        found.append(Doubt("zone", said("recordings.doubt.zone"), (), "", True))
    if not mapping.date_order:
        found.append(Doubt("date_order", said("recordings.doubt.date_order"), DATE_ORDERS[1:], "", True))
    if not mapping.decimal:
        found.append(Doubt("decimal", said("recordings.doubt.decimal"), (".", ","), decimal, True))
    if not mapping.offsets and roles.form == "written" and mapping.zone != "UTC":
        found.append(Doubt("clock", said("recordings.doubt.clock"), CLOCKS, "changes", False))
    if not roles.stamps_told:
        found.append(Doubt("stamps", said("recordings.doubt.stamps"), STAMPS, roles.stamps, False))
    for _, column in roles.values[: 1 if roles.across_s else None]:
        name = str(column.at)
        if not column.unit:
            say = said("recordings.doubt.unit", column=name)
            found.append(Doubt("unit", say, tuple(UNITS), "", True, name))
        elif column.at in roles.kind_open:
            say = said("recordings.doubt.kind", column=name)
            found.append(Doubt("kind", say, KINDS, column.kind, False, name))
    if order_by == "steps":
        say = said("recordings.doubt.date_order_by_steps", order=said(f"recordings.order.{mapping.date_order}"))
        found.append(Doubt("date_order", say, DATE_ORDERS, mapping.date_order, False))
    return tuple(found)


def _understood(table: Table, mapping: Mapping, roles: Roles, order_by: str) -> tuple[Msg, ...]:
    separator = said(f"recordings.separator.{_SEPARATOR_WORDS[table.separator]}")
    found = [
        said("recordings.understood.table", line=table.first_line + 1, separator=separator, width=len(table.names))
    ]
    if table.before:
        found.append(said("recordings.understood.before", count=table.before))
    names = tuple(table.names[at] or str(at + 1) for at in roles.time_columns())
    found.append(said("recordings.understood.time", columns=names, form=said(f"recordings.form.{roles.form}")))
    if mapping.date_order and order_by == "figures":
        found.append(said("recordings.understood.order", order=said(f"recordings.order.{mapping.date_order}")))
    if mapping.offsets:
        found.append(said("recordings.understood.offsets"))
    if mapping.across_s:
        minutes = mapping.across_s // 60
        found.append(said("recordings.understood.across", count=len(roles.values), minutes=minutes))
        found.append(said("recordings.understood.across_clock"))
    for _, column in roles.values[: 1 if mapping.across_s else None]:
        if column.unit and column.kind:
            kind = said(f"recordings.kind.{column.kind}")
            found.append(said("recordings.understood.value", column=str(column.at), unit=column.unit, kind=kind))
    if roles.channel >= 0:
        found.append(said("recordings.understood.channel", column=table.names[roles.channel] or str(roles.channel + 1)))
    if roles.quality >= 0:
        found.append(said("recordings.understood.quality", column=table.names[roles.quality] or str(roles.quality + 1)))
    if left := tuple(table.names[at] or str(at + 1) for at in roles.left_out):
        found.append(said("recordings.understood.left_out", columns=left))
    return tuple(found)


def _preview(mapping: Mapping, table: Table) -> tuple[PreviewRow, ...]:
    where = places(mapping, table.names, len(table.names))
    uses = {use: getattr(where, use) for use in ("start", "end", "date", "clock", "clock_end")}
    trial = replace(mapping, decimal=mapping.decimal or ".")
    found = []
    for row in table.rows[:PREVIEW_ROWS]:
        stamp = ""
        if mapping.date_order:
            time, _ = row_time({use: row[at] for use, at in uses.items() if at >= 0}, trial)
            utc = "Z" if mapping.offsets or mapping.stamp_form != "written" else ""
            stamp = _iso(time) + utc if time != NO_TIME else ""
        values = tuple(
            read_number(row[at], mapping.decimal, mapping.thousands, column.unit) if mapping.decimal else None
            for at, column in where.values
        )
        found.append(PreviewRow(row, stamp, values))
    return tuple(found)


def _iso(time_s: int) -> str:
    from datetime import date

    day, second = divmod(time_s, stamps.DAY_S)
    on = date.fromordinal(day + stamps.EPOCH_DAY).isoformat()
    return f"{on}T{second // 3600:02}:{second // 60 % 60:02}:{second % 60:02}"
