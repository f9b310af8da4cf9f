"""Telling from its headings that a table has the intervals of a day side by side in each row."""

from __future__ import annotations

import re
from dataclasses import dataclass

from deadfront.recordings.column_words import parts
from deadfront.recordings.mapping import DAY_S, MOST_EXTRA_S

MANY = 20
LONGEST_NAME = 120
STEPS_S = (3600, 1800, 900, 600, 300, 60)
_CLOCK = re.compile(r"(?<!\d)(\d{1,2}):(\d{2})(?::00)?\s*([AaPp])?")
_FOUR = re.compile(r"(?<!\d)(\d{2})(\d{2})(?!\d)")
_COUNT = re.compile(r"^(.*?)(\d{1,4})(\D*)$")
# What a counted interval of a day is called; circuits and meters are counted too, and are none.
_COUNTED = frozenset(
    ("interval", "int", "hour", "hr", "h", "he", "ending", "period", "kwh", "wh", "kw", "w", "usage", "use", "value",
     "val", "v", "reading", "read", "consumption", "demand", "energy", "hora", "intervalo", "consumo", "stunde")
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Across:
    """Columns that are the intervals of a day.

    Args:
        columns: Their numbers, in order from midnight; those beyond 24 hours last.
        step_s: Length of each [s].
    """

    columns: tuple[int, ...]
    step_s: int


def timed_names(names: tuple[str, ...]) -> int:
    """How many column names hold a time of day."""
    return sum(_clock(name) is not None for name in names)


def find_across(names: tuple[str, ...]) -> Across | None:
    """The columns whose names are the times of a day in even steps, or count its intervals; None where there are none.

    Times may be the starts or the ends of the intervals: the first one settles it, since the intervals fill the day.

    Example:
        >>> find_across(("date", *(f"{hour}:00" for hour in range(24)))).step_s
        3600
        >>> find_across(("date", *(f"kWh {number}" for number in range(1, 97)))).step_s
        900
    """
    for read in (_clock, _four):
        timed = [(at, found) for at, name in enumerate(names) if (found := read(name)) is not None]
        if len(timed) >= MANY:
            return _of_times(timed)
    return _of_counts(names)


def _clock(name: str) -> int | None:
    found = _CLOCK.search(name[:LONGEST_NAME])
    if not found:
        return None
    hour, minute = int(found[1]), int(found[2])
    if found[3]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if found[3] in "Pp" else 0)
    seconds = hour * 3600 + minute * 60
    return seconds if minute <= 59 and seconds <= DAY_S else None


def _four(name: str) -> int | None:
    found = _FOUR.search(name[:LONGEST_NAME])
    return _clock(f"{found[1]}:{found[2]}") if found else None


def _of_times(timed: list[tuple[int, int]]) -> Across | None:
    """Times that go once round the day in even steps, from midnight or from the end of the first interval."""
    step = (timed[1][1] - timed[0][1]) % DAY_S
    if step not in STEPS_S:
        return None
    whole = DAY_S // step
    day, extra = timed[:whole], timed[whole:]
    first = timed[0][1]
    even = all(second % DAY_S == (first + number * step) % DAY_S for number, (_, second) in enumerate(day))
    if len(day) < whole or first not in (0, step) or not even or len(extra) > MOST_EXTRA_S // step:
        return None
    return Across(tuple(at for at, _ in timed), step)


def _of_counts(names: tuple[str, ...]) -> Across | None:
    """Names alike but for a number that counts up from 0 or 1, as many as a day has intervals."""
    groups: dict[tuple[str, str], list[tuple[int, int]]] = {}
    for at, name in enumerate(names):
        if len(name) > LONGEST_NAME:
            continue
        words = {word for word in parts(name) if not word.isdigit()}
        if words <= _COUNTED and (found := _COUNT.fullmatch(name.strip())):
            groups.setdefault((found[1].strip().lower(), found[3].strip().lower()), []).append((at, int(found[2])))
    for group in groups.values():
        numbers = [number for _, number in group]
        if len(group) < MANY or numbers[0] not in (0, 1) or numbers != list(range(numbers[0], numbers[0] + len(group))):
            continue
        for step in STEPS_S:
            if 0 <= len(group) - DAY_S // step <= MOST_EXTRA_S // step:
                return Across(tuple(at for at, _ in group), step)
    return None
