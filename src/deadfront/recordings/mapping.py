"""What the columns of a file mean: a Mapping, said once by a person and remembered for the next file of that kind."""

from __future__ import annotations

from collections.abc import Mapping as Table
from dataclasses import dataclass, field, fields

from deadfront.msg import said
from deadfront.recordings.trouble import MappingUnclear, RecordingUnreadable

USES = ("start", "end", "date", "clock", "clock_end", "value", "channel", "leg", "quality", "ignore")
# Unit to its factor to the base unit; energy units are told from power units by ENERGY.
UNITS = {
    "W": 1.0, "kW": 1e3, "Wh": 1.0, "kWh": 1e3, "MWh": 1e6, "A": 1.0, "VA": 1.0, "kVA": 1e3, "VAh": 1.0, "kVAh": 1e3,
    "V": 1.0, "var": 1.0, "kvar": 1e3, "varh": 1.0, "kvarh": 1e3, "Hz": 1.0, "other": 1.0,
}  # fmt: skip
ENERGY = frozenset({"Wh", "kWh", "MWh", "VAh", "kVAh", "varh", "kvarh"})
KINDS = ("mean", "energy", "register", "instant")
LEGS = ("", "L1", "L2", "both")
SEPARATORS = (",", ";", "\t", "|")
DATE_ORDERS = ("ymd", "mdy", "dmy")
STAMP_FORMS = ("written", "epoch_s", "epoch_ms")
STAMPS = ("start", "end")
CLOCKS = ("changes", "standard", "first", "second")
ENCODINGS = ("utf-8", "utf-16", "latin-1")
DAY_S = 86_400
MOST_EXTRA_S = 7_200  # columns beyond 24 hours, for the day on which the clock falls back


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a file.

    Args:
        at: Its name in the header, or its number from 0.
        use: What it holds, one of USES.
        unit: For a value, one of UNITS; "" while not known.
        kind: For a value: mean over the interval, energy in the interval, cumulative register, or instantaneous.
        channel: What the values belong to; "" takes the column's name.
        leg: L1, L2, both, or "" where it is not known.
    """

    at: str | int
    use: str
    unit: str = ""
    kind: str = ""
    channel: str = ""
    leg: str = ""


@dataclass(frozen=True, slots=True)
class Mapping:
    """What a table of readings means; a field left "" is a question that must be answered before reading.

    Args:
        columns: What each column is; a column not named here is left out.
        header_line: Line of the column names, from 0; -1 where there is none.
        first_line: First line of readings, from 0.
        encoding: One of ENCODINGS.
        separator: One of SEPARATORS.
        decimal: "." or ",".
        thousands: "", ",", ".", " " or "'".
        stamp_form: "written" for dates and clocks, else seconds or milliseconds since 1970 UTC.
        date_order: ymd, mdy or dmy.
        zone: IANA name of the house's place, or "UTC".
        offsets: "written" where each stamp carries its own offset from UTC, else "".
        stamps: Whether a stamp is the start or the end of its interval.
        clock: The hour that comes twice in fall: "changes" takes the first pass as daylight saving where both stand
            in the file, "first" and "second" say which of the two it is, "standard" means the clock never changes.
        interval_s: Length of an interval where the file does not tell it; 0 takes the usual step between stamps.
        across_s: Where a row is a whole day, the length of the intervals that stand side by side in it [s]: the value
            columns in their order are the intervals of the day from midnight on, all of the first one's unit and
            kind. 0 where a row is one interval.
    """

    columns: tuple[Column, ...]
    header_line: int = 0
    first_line: int = 1
    encoding: str = "utf-8"
    separator: str = ","
    decimal: str = "."
    thousands: str = ""
    stamp_form: str = "written"
    date_order: str = "ymd"
    zone: str = ""
    offsets: str = ""
    stamps: str = "start"
    clock: str = "changes"
    interval_s: int = 0
    across_s: int = 0
    name: str = field(default="")

    def to_json(self) -> dict[str, object]:
        """Plain values, to be remembered."""
        found: dict[str, object] = {each.name: getattr(self, each.name) for each in fields(self)}
        found["columns"] = [
            {each.name: getattr(column, each.name) for each in fields(column)} for column in self.columns
        ]
        if not self.across_s:
            del found["across_s"]
        return found

    def with_use(self, *uses: str) -> tuple[Column, ...]:
        """The columns of these uses, in order."""
        return tuple(column for column in self.columns if column.use in uses)

    def open_questions(self) -> tuple[str, ...]:
        """Names of the fields that must be said before a reading can be trusted."""
        found = [name for name in ("decimal", "zone") if not getattr(self, name)]
        if self.stamp_form == "written" and not self.date_order:
            found.append("date_order")
        values = self.with_use("value")[: 1 if self.across_s else None]
        found += ["unit"] * any(not column.unit for column in values)
        found += ["kind"] * any(not column.kind for column in values)
        return tuple(found)

    def check(self) -> Mapping:
        """Itself, once every field holds an allowed value and no question is open.

        Raises:
            RecordingUnreadable: a field holds something else.
            MappingUnclear: a question is open.
        """
        _allowed(self)
        if questions := self.open_questions():
            fields = tuple(said(f"recordings.field.{name}") for name in questions)
            raise MappingUnclear("recordings.mapping.open", fields=fields)
        return self


def _refuse(name: str, found: object, allowed: tuple[object, ...]) -> None:
    raise RecordingUnreadable(
        "recordings.mapping.field", field=name, found=str(found)[:80], allowed=tuple(str(each) for each in allowed)
    )


def _one_of(name: str, found: object, allowed: tuple[object, ...]) -> None:
    if found not in allowed:
        _refuse(name, found, allowed)


def _allowed(mapping: Mapping) -> None:
    _one_of("encoding", mapping.encoding, ENCODINGS)
    _one_of("separator", mapping.separator, SEPARATORS)
    _one_of("decimal", mapping.decimal, (".", ",", ""))
    _one_of("thousands", mapping.thousands, ("", ",", ".", " ", "'"))
    _one_of("stamp_form", mapping.stamp_form, STAMP_FORMS)
    _one_of("date_order", mapping.date_order, (*DATE_ORDERS, ""))
    _one_of("stamps", mapping.stamps, STAMPS)
    _one_of("offsets", mapping.offsets, ("", "written"))
    _one_of("clock", mapping.clock, CLOCKS)
    if mapping.decimal and mapping.decimal == mapping.thousands:
        _refuse("thousands", mapping.thousands, ("",))
    for column in mapping.columns:
        _one_of("use", column.use, USES)
        _one_of("unit", column.unit, (*UNITS, ""))
        _one_of("kind", column.kind, (*KINDS, ""))
        _one_of("leg", column.leg, LEGS)
        if column.use == "value" and column.kind == "energy" and column.unit and column.unit not in ENERGY:
            _refuse("unit", column.unit, tuple(sorted(ENERGY)))
        if column.use == "value" and column.kind in ("mean", "instant") and column.unit in ENERGY:
            _refuse("kind", column.kind, ("energy", "register"))
    if not mapping.with_use("value"):
        raise RecordingUnreadable("recordings.mapping.no_value")
    if not mapping.with_use("start", "end") and not (mapping.with_use("date") and mapping.with_use("clock")):
        raise RecordingUnreadable("recordings.mapping.no_time")
    if mapping.across_s:
        _across(mapping)


_TYPES: dict[str, type] = {"header_line": int, "first_line": int, "interval_s": int, "across_s": int}


def _across(mapping: Mapping) -> None:
    """Whether the columns side by side can make up a day, in one unit and kind."""
    step = mapping.across_s
    if not 60 <= step <= DAY_S // 2 or DAY_S % step:
        _refuse("across_s", step, (900, 1800, 3600))
    values = mapping.with_use("value")
    needed = DAY_S // step
    if not needed <= len(values) <= needed + MOST_EXTRA_S // step:
        raise RecordingUnreadable("recordings.mapping.across", found=len(values), step_s=step, needed=needed)
    first = values[0]
    for column in values[1:]:  # without a unit of its own a column follows the first
        _one_of("unit", column.unit, (first.unit, ""))
        if column.unit:
            _one_of("kind", column.kind, (first.kind, ""))
    if not mapping.with_use("start"):
        raise RecordingUnreadable("recordings.mapping.no_time")
    _one_of("stamp_form", mapping.stamp_form, ("written",))
    _one_of("offsets", mapping.offsets, ("",))


def mapping_from_json(data: Table[str, object]) -> Mapping:
    """A remembered Mapping.

    Raises:
        RecordingUnreadable: a field is missing, unknown, or of another type.
    """
    known = {each.name for each in fields(Mapping)}
    for name, value in data.items():
        wanted = list if name == "columns" else _TYPES.get(name, str)
        if name not in known or not isinstance(value, wanted) or isinstance(value, bool):
            _refuse(str(name)[:80], value, tuple(sorted(known)))
    raw = data.get("columns", [])
    columns = tuple(_column(each) for each in raw) if isinstance(raw, list) else ()
    rest = {name: value for name, value in data.items() if name != "columns"}
    for name in _TYPES:
        number = rest.get(name, 0)
        if not isinstance(number, int) or not -1 <= number <= 10_000_000:
            _refuse(name, number, (-1, 10_000_000))
    mapping = Mapping(columns, **rest)  # type: ignore[arg-type]
    _allowed(mapping)
    return mapping


def _column(data: object) -> Column:
    known = {each.name for each in fields(Column)}
    if not isinstance(data, dict) or set(data) - known or not {"at", "use"} <= set(data):
        _refuse("columns", data, tuple(sorted(known)))
    assert isinstance(data, dict)
    for name, value in data.items():
        if not isinstance(value, str) and not (name == "at" and type(value) is int):
            _refuse(name, value, (name,))
    return Column(**data)
