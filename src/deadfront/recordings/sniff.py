"""Finding the table in the first bytes of a text file: encoding, separator, where the readings begin."""

from __future__ import annotations

import csv
from dataclasses import dataclass

from deadfront.recordings.mapping import DATE_ORDERS, SEPARATORS
from deadfront.recordings.numbers import unit_behind
from deadfront.recordings.stamps import read_clock, read_date, read_epoch, read_stamp, split_stamp
from deadfront.recordings.trouble import RecordingUnreadable

MAX_LINES = 400
NUMBER_LETTERS = frozenset("0123456789.,+-eE '\u00a0")


@dataclass(frozen=True, slots=True)
class Table:
    """The table found in a head.

    Args:
        encoding: One of mapping.ENCODINGS.
        separator: One of mapping.SEPARATORS.
        header_line: Line of the names, -1 where there is none.
        first_line: Line of the first reading.
        names: Column names, "" where there is none; as many as a row has cells.
        rows: Rows of readings.
        before: Lines above the table that are neither names nor readings.
    """

    encoding: str
    separator: str
    header_line: int
    first_line: int
    names: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    before: int


def decoded(head: bytes) -> tuple[str, str]:
    """Text of a head, and its encoding."""
    if head[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return head[: len(head) // 2 * 2].decode("utf-16", errors="replace"), "utf-16"
    for cut in range(4):  # a head may end inside a letter
        try:
            return head[: len(head) - cut].decode("utf-8-sig"), "utf-8"
        except UnicodeDecodeError:
            continue
    return head.decode("latin-1"), "latin-1"


def is_number(text: str) -> bool:
    """Whether a cell reads as a figure in some country, with or without a unit behind it."""
    figure, _ = unit_behind(text)
    return bool(figure) and set(figure) <= NUMBER_LETTERS and any(letter.isdigit() for letter in figure)


def is_stamp(text: str) -> bool:
    """Whether a cell reads as a whole stamp or as a date, in any order."""
    return any(read_stamp(text, order) is not None for order in DATE_ORDERS)


def is_date(text: str) -> bool:
    """Whether a cell reads as a date with no clock, or one at midnight."""
    return any(read_date(split_stamp(text)[0], order) is not None for order in DATE_ORDERS)


def is_clock(text: str) -> bool:
    """Whether a cell reads as a clock time alone."""
    return ":" in text and read_clock(text) is not None


def is_epoch(text: str) -> str:
    """ "epoch_s" or "epoch_ms" where a cell reads as counted seconds, else ""."""
    if not (digits := text.strip().split(".")[0]).isdigit():
        return ""
    if len(digits) in (9, 10) and read_epoch(text, "epoch_s") is not None:
        return "epoch_s"
    return "epoch_ms" if len(digits) in (12, 13) and read_epoch(text, "epoch_ms") is not None else ""


def _reads(row: list[str]) -> bool:
    """Whether a row looks like a reading: a time in it, and a figure beside."""
    timed = [is_stamp(cell) or bool(is_epoch(cell)) for cell in row]
    return any(timed) and any(is_number(cell) for cell, time in zip(row, timed, strict=True) if not time)


def _rows(lines: list[str], separator: str) -> list[tuple[int, list[str]]]:
    """Line number and cells of each line; a quoted line break is left apart."""
    found = []
    for number, line in enumerate(lines):
        try:
            row = next(csv.reader([line], delimiter=separator), [])
        except csv.Error:
            row = []
        found.append((number, row))
    return found


def find_table(head: bytes) -> Table:
    """The table in a head.

    Raises:
        RecordingUnreadable: no line of it holds a time and a figure.
    """
    text, encoding = decoded(head)
    lines = text.splitlines(keepends=True)[: MAX_LINES + 1]
    if len(lines) > 3 and (len(lines) > MAX_LINES or not lines[-1].endswith(("\n", "\r"))):
        lines = lines[:-1]
    best: tuple[tuple[int, int], str, list[tuple[int, list[str]]]] | None = None
    for separator in SEPARATORS:
        good = [(number, row) for number, row in _rows(lines, separator) if 2 <= len(row) <= 4_000 and _reads(row)]
        widths = [len(row) for _, row in good]
        usual = max(set(widths), key=lambda width: (widths.count(width), width), default=0)
        good = [(number, row) for number, row in good if len(row) == usual]
        score = (len(good), usual)
        if good and (best is None or score > best[0]):
            best = (score, separator, good)
    if best is None:
        raise RecordingUnreadable("recordings.guess.no_table", lines=len(lines))
    (_, width), separator, good = best
    first = good[0][0]
    header = _header(lines, separator, first, width)
    names = [cell.strip() for cell in _rows([lines[header]], separator)[0][1]][:width] if header >= 0 else []
    names += [""] * (width - len(names))
    rows = tuple(tuple(row) for _, row in good)
    return Table(encoding, separator, header, first, tuple(names), rows, first - (1 if header >= 0 else 0))


def _header(lines: list[str], separator: str, first: int, width: int) -> int:
    """The nearest line above the readings that may name the columns."""
    for number in range(first - 1, max(first - 4, -1), -1):
        row = _rows([lines[number]], separator)[0][1]
        filled = [cell for cell in row if cell.strip()]
        if abs(len(row) - width) <= 1 and 2 * len(filled) >= width and not all(is_number(cell) for cell in filled):
            return number
    return -1
