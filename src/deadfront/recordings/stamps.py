"""Reading a date and a clock as files write them: both date orders, ISO, month names, AM and PM, offsets."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

DAY_S = 86_400
FIRST_YEAR, LAST_YEAR = 1990, 2100
REMEMBERED = 8_192  # a day and a clock come again and again
MAX_LETTERS = 64  # a longer cell is no stamp, and is not tried
EPOCH_DAY = date(1970, 1, 1).toordinal()
_YMD = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_TWO = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})")
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})")
_NAMED = re.compile(r"(\d{1,2})[-/. ]([^\W\d]{3,10})\.?[-/., ]+(\d{4}|\d{2})")
_NAMED_FIRST = re.compile(r"([^\W\d]{3,10})\.?[-/ ](\d{1,2}),?[-/ ]+(\d{4}|\d{2})")
_CLOCK = re.compile(
    r"(\d{1,2}):?(\d{2})?(?::?(\d{2})(?:[.,]\d{1,9})?)?\s*([AaPp]\.?\s?[Mm]\.?)?\s*"
    r"(Z|z|UTC|GMT|[+-]\d{2}(?::?\d{2})?|[A-Z]{3,4})?"
)
_WHOLE = re.compile(r"(.*?\d)(?:[Tt]|,? +|_)(\d{1,2}:\d{2}.*|\d{4}(?:\d{2})?Z?|\d{2})")
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
_SPANISH = ["ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic"]
# Clock letters of North America, hours from UTC.
_LETTERS = {
    "EST": -5, "EDT": -4, "CST": -6, "CDT": -5, "MST": -7, "MDT": -6, "PST": -8, "PDT": -7, "AKST": -9, "AKDT": -8,
    "HST": -10, "AST": -4, "ADT": -3,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock reading: seconds from midnight, and the offset from UTC where it is written."""

    seconds: int
    offset_s: int | None = None


def _day(year: int, month: int, day: int) -> int | None:
    if year < 100:
        year += 2000
    if not FIRST_YEAR <= year <= LAST_YEAR:
        return None
    try:
        return date(year, month, day).toordinal() - EPOCH_DAY
    except ValueError:
        return None


def _month(word: str) -> int:
    start = word[:3].lower()
    return next((names.index(start) + 1 for names in (_MONTHS, _SPANISH) if start in names), 0)


@lru_cache(maxsize=REMEMBERED)
def read_date(text: str, order: str) -> int | None:
    """Days since 1970 of a written date; None where it is none in this order.

    Args:
        text: As written.
        order: "mdy" or "dmy" for dates of two short numbers; a year in front always means year, month, day.
    Example:
        >>> read_date("03/04/2025", "dmy") == read_date("2025-04-03", "ymd")
        True
    """
    text = text.strip()
    if len(text) > MAX_LETTERS:
        return None
    if found := _YMD.fullmatch(text) or _COMPACT.fullmatch(text):
        return _day(int(found[1]), int(found[2]), int(found[3]))
    if found := _TWO.fullmatch(text):
        first, second, year = int(found[1]), int(found[2]), int(found[3])
        if order == "ymd":
            return _day(first, second, year) if len(found[3]) == 2 else None
        return _day(year, first, second) if order == "mdy" else _day(year, second, first)
    if found := _NAMED.fullmatch(text):
        return _day(int(found[3]), _month(found[2]), int(found[1]))
    if found := _NAMED_FIRST.fullmatch(text):
        return _day(int(found[3]), _month(found[1]), int(found[2]))
    return None


def two_numbers(text: str) -> tuple[int, int] | None:
    """The two short numbers of a date whose order must be told: (3, 4) of 03/04/2025."""
    found = _TWO.fullmatch(text.strip())
    return (int(found[1]), int(found[2])) if found else None


@lru_cache(maxsize=REMEMBERED)
def read_clock(text: str) -> Clock | None:
    """A written clock time, "24:00" as the end of the day; None where it is none.

    Example:
        >>> read_clock("2:15 PM").seconds == 14 * 3600 + 15 * 60
        True
        >>> read_clock("00:00-05:00").offset_s
        -18000
    """
    text = text.strip()
    if len(text) > MAX_LETTERS:
        return None
    found = _CLOCK.fullmatch(text)
    if not found or (found[2] is None and not found[4]):
        return None
    hour, minute, second = int(found[1]), int(found[2] or 0), int(found[3] or 0)
    if found[4]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if found[4][0] in "Pp" else 0)
    seconds = hour * 3600 + minute * 60 + second
    if minute > 59 or second > 59 or seconds > DAY_S:
        return None
    zone = found[5]
    if zone is None:
        return Clock(seconds)
    offset = _offset(zone)
    return None if offset is None else Clock(seconds, offset)


def _offset(zone: str) -> int | None:
    if zone in ("Z", "z", "UTC", "GMT"):
        return 0
    if zone[0] in "+-":
        hours, minutes = int(zone[1:3]), int(zone[-2:]) if len(zone) > 3 else 0
        if hours > 14 or minutes > 59:
            return None
        return (-1 if zone[0] == "-" else 1) * (hours * 3600 + minutes * 60)
    return _LETTERS[zone] * 3600 if zone in _LETTERS else None


@lru_cache(maxsize=REMEMBERED)
def split_stamp(text: str) -> tuple[str, str]:
    """Date and clock of a whole stamp; a date alone has the clock "00:00"."""
    text = text.strip()
    found = _WHOLE.fullmatch(text) if len(text) <= MAX_LETTERS else None
    if found and len(found[2]) == 2:
        return found[1], found[2] + ":00"
    if found and read_clock(found[2]) is not None:
        return found[1], found[2]
    if len(text) in (12, 14) and text.isdigit():
        return text[:8], text[8:]
    return text, "00:00"


def read_stamp(text: str, order: str) -> tuple[int, int | None] | None:
    """Seconds since 1970 on the clock as written, and the offset written with it; None where it is no stamp."""
    day_text, clock_text = split_stamp(text)
    day, clock = read_date(day_text, order), read_clock(clock_text)
    if day is None or clock is None:
        return None
    return day * DAY_S + clock.seconds, clock.offset_s


def read_epoch(text: str, form: str) -> int | None:
    """Whole seconds since 1970 UTC of a number of seconds or milliseconds; None outside the years allowed."""
    try:
        number = float(text)
    except ValueError:
        return None
    seconds = number / 1000 if form == "epoch_ms" else number
    if not 631_152_000 <= seconds <= 4_133_980_800:  # 1990 to 2101; refuses nan as well
        return None
    return int(seconds // 1)
