"""How a file writes its figures and dates: decimal mark, order of day and month, offsets."""

from __future__ import annotations

import re

from deadfront.recordings.mapping import DATE_ORDERS
from deadfront.recordings.numbers import unit_behind
from deadfront.recordings.stamps import DAY_S, read_clock, read_stamp, split_stamp, two_numbers

_GROUPS = re.compile(r"[+-]?[1-9]\d{0,2}(?P<mark>[,.])\d{3}(?:(?P=mark)\d{3})*")
_TWO_GROUPS = re.compile(r"[+-]?\d{1,3}(?P<mark>[,.])\d{3}(?P=mark)\d{3}(?:(?P=mark)\d{3})*")
FAR_S = 20 * DAY_S


def decimal_of(cells: list[str], separator: str) -> tuple[str, str, bool]:
    """Decimal mark, thousands mark, and whether the figures settle it.

    Example:
        >>> decimal_of(["1.234,5", "0,25"], ";")
        (',', '.', True)
        >>> decimal_of(["1,234", "2,500"], ";")
        (',', '', False)
    """
    figures = [unit_behind(cell)[0] for cell in cells if cell.strip()]
    apart = next((mark for mark in (" ", "\u00a0", "'") if any(mark in figure for figure in figures)), "")
    apart = " " if apart == "\u00a0" else apart
    commas = [figure for figure in figures if "," in figure]
    points = [figure for figure in figures if "." in figure]
    both = [figure for figure in commas if "." in figure]
    if both:
        decimal = max(",.", key=both[0].rfind)
        return decimal, "," if decimal == "." else ".", True
    if commas and points:  # each alone: the one that does not group by three is the decimal mark
        if all(_GROUPS.fullmatch(figure) for figure in commas):
            return ".", ",", True
        return ",", ".", all(_GROUPS.fullmatch(figure) for figure in points)
    marked, mark = (commas, ",") if commas else (points, ".")
    if any(_TWO_GROUPS.fullmatch(figure) for figure in marked):
        return ("." if mark == "," else ","), mark, True
    grouped = bool(marked) and all(_GROUPS.fullmatch(figure) for figure in marked)
    if mark == ",":
        return (",", apart, not grouped) if commas else (".", apart, True)
    return ".", apart, not (grouped and separator == ";" and len(marked) > 1)


def order_of(cells: list[str]) -> tuple[str, str]:
    """Order of the dates, and what settles it: "figures", "steps" between them, or "" where it stays open.

    A year in front or a month by name needs no order. A number above 12 settles it. Else the order in which the
    stamps follow each other by days, not by months, is taken, and said.
    """
    pairs = [pair for cell in cells if (pair := two_numbers(split_stamp(cell)[0]))]
    if not pairs:
        return "ymd", "figures"
    good = [
        order for order in DATE_ORDERS if all(read_stamp(cell, order) is not None for cell in cells if cell.strip())
    ]
    if len(good) == 1:
        return good[0], "figures"
    if not good:  # some row is no stamp at all: go by what most rows say
        first, second = (sum(pair[at] > 12 for pair in pairs) for at in (0, 1))
        return ("dmy", "figures") if first > second else ("mdy", "figures") if second > first else ("", "")
    near = [order for order in good if _near(cells, order)]
    moving = len({split_stamp(cell)[0] for cell in cells}) > 1
    return (near[0], "steps") if len(near) == 1 and moving else ("", "")


def _near(cells: list[str], order: str) -> bool:
    times = [found[0] for cell in cells if (found := read_stamp(cell, order))]
    return all(abs(later - earlier) < FAR_S for earlier, later in zip(times, times[1:], strict=False))


def zone_written(clocks: list[str]) -> bool:
    """Whether the clocks carry an offset from UTC, all of them."""
    found = [read_clock(split_stamp(cell)[1] if len(cell) > 8 else cell) for cell in clocks if cell.strip()]
    return bool(found) and all(clock is not None and clock.offset_s is not None for clock in found)
