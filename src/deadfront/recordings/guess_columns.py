"""Which column holds what, by its cells first and by its name where the cells leave it open."""

from __future__ import annotations

from dataclasses import dataclass, field

from deadfront.recordings.column_words import kind_of_name, leg_of_name, parts, unit_of_name, use_of_name
from deadfront.recordings.hours_across import Across, find_across, timed_names
from deadfront.recordings.mapping import ENERGY, Column
from deadfront.recordings.numbers import unit_behind
from deadfront.recordings.sniff import is_clock, is_date, is_epoch, is_number, is_stamp
from deadfront.recordings.stamps import split_stamp
from deadfront.recordings.trouble import RecordingUnreadable

MOST = 0.8
MANY_HOURS = 20
# Columns of figures that are no demand: money, weather.
_OTHER = frozenset(
    ("cost", "price", "amount", "charge", "temp", "temperature", "humidity", "rate", "tariff", "precio", "costo")
)
Sample = tuple[tuple[str, ...], ...]


@dataclass(slots=True)
class Roles:
    """Column numbers by what they hold, -1 for none; and the value columns."""

    names: tuple[str, ...]
    start: int = -1
    end: int = -1
    date: int = -1
    clock: int = -1
    clock_end: int = -1
    channel: int = -1
    leg: int = -1
    quality: int = -1
    form: str = "written"
    stamps: str = "start"
    stamps_told: bool = False
    across_s: int = 0
    values: list[tuple[int, Column]] = field(default_factory=list)
    kind_open: set[str | int] = field(default_factory=set)
    left_out: list[int] = field(default_factory=list)

    def time_columns(self) -> list[int]:
        """Columns that hold dates or whole stamps."""
        return [at for at in (self.start, self.end, self.date) if at >= 0]

    def clock_columns(self) -> list[int]:
        """Columns that hold clock times or whole stamps."""
        return [at for at in (self.start, self.end, self.clock) if at >= 0]

    def at(self, number: int) -> str | int:
        """How a mapping names a column: by its name where that is unique, else by its number."""
        name = self.names[number]
        return name if name and self.names.count(name) == 1 else number

    def columns(self) -> tuple[Column, ...]:
        """All columns as a mapping says them."""
        uses = ("start", "end", "date", "clock", "clock_end", "channel", "leg", "quality")
        named = [Column(self.at(getattr(self, use)), use) for use in uses if getattr(self, use) >= 0]
        return (*named, *(column for _, column in self.values))


def _share(cells: list[str], test: object) -> float:
    filled = [cell for cell in cells if cell.strip()]
    return sum(bool(test(cell)) for cell in filled) / len(filled) if filled else 0.0  # type: ignore[operator]


def _content(cells: list[str]) -> str:
    """What the cells of a column are: stamp, date, clock, epoch_s, epoch_ms, number or text."""
    if _share(cells, is_clock) >= MOST:
        return "clock"
    if _share(cells, is_stamp) >= MOST:
        dated = _share(cells, lambda cell: split_stamp(cell)[0] == cell.strip() and is_date(cell))
        return "date" if dated >= MOST else "stamp"
    for form in ("epoch_s", "epoch_ms"):
        if _share(cells, lambda cell, form=form: is_epoch(cell) == form) >= 1.0:
            return form
    return "number" if _share(cells, is_number) >= MOST else "text"


def roles_of(names: tuple[str, ...], sample: Sample) -> Roles:
    """What every column of a table holds.

    Raises:
        RecordingUnreadable: no column of times or none of figures; or the hours stand side by side in a row.
    """
    cells = [[row[at] for row in sample] for at in range(len(names))]
    content = [_content(column) for column in cells]
    across = find_across(names)
    if across is not None and not _a_day_in_each_row(content, across):
        across = None
    if across is None and timed_names(names) >= MANY_HOURS:
        raise RecordingUnreadable("recordings.guess.hours_across", found=timed_names(names))
    roles = Roles(names)
    for at in across.columns if across is not None else ():
        content[at] = "across"
    _times(roles, content, cells)
    _texts(roles, content, cells)
    if across is not None:
        _hours(roles, across, content, cells)
        return roles
    taken = {*roles.time_columns(), roles.clock, roles.clock_end, roles.channel, roles.leg, roles.quality}
    for at, kind in enumerate(content):
        if at in taken:
            continue
        if kind in ("number", "epoch_s", "epoch_ms") and not set(parts(names[at])) & _OTHER:
            roles.values.append((at, _value(roles, at, cells[at])))
        else:
            roles.left_out.append(at)
    if not roles.values:
        raise RecordingUnreadable("recordings.guess.no_value", names=tuple(name for name in names[:20] if name))
    return roles


def _a_day_in_each_row(content: list[str], across: Across) -> bool:
    """Whether figures stand in those columns, and dates without a clock beside them."""
    beside = {kind for at, kind in enumerate(content) if at not in across.columns}
    figures = all(content[at] in ("number", "text") for at in across.columns)
    return figures and "date" in beside and not beside & {"stamp", "clock"}


def _hours(roles: Roles, across: Across, content: list[str], cells: list[list[str]]) -> None:
    """The intervals side by side as value columns, all of one unit; other figures and texts are left out."""
    first = across.columns[0]
    unit = _value(roles, first, [cell for at in across.columns for cell in cells[at]]).unit
    unit = unit or next((found for at, kind in enumerate(content) if (found := _unit_said(kind, cells[at]))), "")
    kind, told = kind_of_name(roles.names[first], unit)
    roles.kind_open = set() if told or unit in ENERGY else {roles.at(first)}
    roles.across_s, roles.stamps_told = across.step_s, True
    for at in across.columns:
        roles.values.append((at, Column(roles.at(at), "value", unit, kind, unit or "1")))
    taken = {*roles.time_columns(), roles.channel, roles.leg, roles.quality, *across.columns}
    roles.left_out = [at for at in range(len(content)) if at not in taken]


def _unit_said(kind: str, cells: list[str]) -> str:
    """The unit that every cell of a column of texts names."""
    words = {cell.strip() for cell in cells}
    return unit_of_name(words.pop()) if kind == "text" and len(words) == 1 else ""


def _times(roles: Roles, content: list[str], cells: list[list[str]]) -> None:
    stamps = [at for at, kind in enumerate(content) if kind == "stamp"]
    dates = [at for at, kind in enumerate(content) if kind == "date"]
    clocks = [at for at, kind in enumerate(content) if kind == "clock"]
    counted = [at for at, kind in enumerate(content) if kind.startswith("epoch") and not unit_of_name(roles.names[at])]
    if not stamps and counted and not dates:
        roles.form = content[counted[0]]
        stamps = [at for at in counted if content[at] == roles.form and _steps_one_way(cells[at])][:2] or counted[:1]
    if not stamps and dates and clocks:
        roles.date, roles.clock = dates[0], clocks[0]
        if len(clocks) > 1:
            roles.clock_end = clocks[1]
        ends = use_of_name(roles.names[clocks[0]]) == "end" and len(clocks) == 1
        roles.stamps, roles.stamps_told = ("end" if ends else "start"), ends or len(clocks) > 1
        return
    stamps = stamps or dates
    if not stamps:
        raise RecordingUnreadable("recordings.guess.no_time", names=tuple(name for name in roles.names[:20] if name))
    uses = [use_of_name(roles.names[at]) for at in stamps]
    start = next((at for at, use in zip(stamps, uses, strict=True) if use == "start"), -1)
    end = next((at for at, use in zip(stamps, uses, strict=True) if use == "end"), -1)
    if start < 0 and end < 0:
        start = stamps[0]
    elif start < 0 and len(stamps) > 1:
        start = next(at for at in stamps if at != end)
    roles.start, roles.end = start, end
    roles.stamps = "start" if start >= 0 else "end"
    roles.stamps_told = end >= 0 or uses[stamps.index(start)] == "start"


def _steps_one_way(cells: list[str]) -> bool:
    numbers = [float(cell) for cell in cells if is_epoch(cell)]
    pairs = list(zip(numbers, numbers[1:], strict=False))
    return all(first <= second for first, second in pairs) or all(first >= second for first, second in pairs)


def _texts(roles: Roles, content: list[str], cells: list[list[str]]) -> None:
    for at, kind in enumerate(content):
        use = use_of_name(roles.names[at])
        distinct = {cell.strip() for cell in cells[at]}
        if kind not in ("text", "number") or use not in ("quality", "channel", "leg") or getattr(roles, use) >= 0:
            continue
        if kind == "number" and (
            unit_of_name(roles.names[at]) or use != "channel" or len(distinct) * 3 > len(cells[at])
        ):
            continue
        if use == "quality" or len(distinct) > 1:
            setattr(roles, use, at)
    if roles.channel < 0:  # a nameless column of a few repeating words tells channels apart
        known = {*roles.time_columns(), roles.clock, roles.clock_end, roles.leg, roles.quality}
        for at, kind in enumerate(content):
            distinct = {cell.strip() for cell in cells[at]}
            if kind == "text" and at not in known and len(distinct) > 1 and len(distinct) * 3 <= len(cells[at]):
                roles.channel = at
                return


def _value(roles: Roles, at: int, cells: list[str]) -> Column:
    name = roles.names[at]
    behind = {unit for cell in cells if (unit := unit_behind(cell)[1])}
    unit = unit_of_name(name) or (behind.pop() if len(behind) == 1 else "")
    kind, told = kind_of_name(name, unit)
    key = roles.at(at)
    if unit in ENERGY and kind == "energy" and _climbs(cells):
        kind, told = "register", False
    if unit in ENERGY and kind == "energy":
        told = True
    if not told:
        roles.kind_open.add(key)
    return Column(key, "value", unit, kind, "", leg_of_name(name))


def _climbs(cells: list[str]) -> bool:
    """Whether figures never fall and stand far above what they rise: the face of a register."""
    try:
        numbers = [float(unit_behind(cell)[0].replace(",", ".")) for cell in cells if cell.strip()]
    except ValueError:
        return False
    if len(numbers) < 5 or any(later < earlier for earlier, later in zip(numbers, numbers[1:], strict=False)):
        return False
    rise = numbers[-1] - numbers[0]
    return rise > 0 and numbers[0] > rise / 2
