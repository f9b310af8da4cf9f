"""Words on a terminal: verdicts with their shape, tables, wrapped lines, progress."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Sequence

from deadfront.cli.stream import bold, put, warn
from deadfront.documents.catalog import Catalog
from deadfront.worksheet.check import Outcome

SHAPES = {Outcome.MEETS: "●", Outcome.FAILS: "■", Outcome.CANNOT_TELL: "◇", Outcome.NOT_APPLICABLE: "–"}
WIDEST, LEAST = 110, 16


def width() -> int:
    """Columns to write in: those of the terminal, at most 110."""
    return min(shutil.get_terminal_size((100, 24)).columns, WIDEST)


def verdict(outcome: Outcome, catalog: Catalog) -> str:
    """A shape with its word: never a shape or a color alone."""
    return f"{SHAPES[outcome]} {catalog.outcome(outcome)}"


def say(text: str = "", indent: str = "", hang: str | None = None) -> None:
    """One paragraph, wrapped."""
    rest = indent + "  " if hang is None else hang
    put(textwrap.fill(text, max(width(), 40), initial_indent=indent, subsequent_indent=rest) if text else "")


def heading(text: str) -> None:
    """A heading with an empty line before it."""
    put("\n" + bold(text))


def table(rows: Sequence[Sequence[str]], right: Sequence[int] = (), indent: str = "  ", *, fit: bool = False) -> None:
    """Rows in columns as wide as their longest cell, the first row the heads; a last column that is long is wrapped.

    Args:
        fit: Any long column is wrapped, so that nothing runs off the line; else a row stays a line for other programs.
    """
    if not rows:
        return
    wide = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    if fit:
        wide = _fitted(wide, width() - len(indent))
    wide[-1] = min(wide[-1], max(width() - len(indent) - sum(wide[:-1]) - 2 * (len(wide) - 1), 24))
    for row in rows:
        cells = [textwrap.wrap(cell.rstrip(), max(wide[i], 1)) or [""] for i, cell in enumerate(row)]
        for number in range(max(map(len, cells))):
            parts = [lines[number] if number < len(lines) else "" for lines in cells]
            line = [part.rjust(wide[i]) if i in right else part.ljust(wide[i]) for i, part in enumerate(parts)]
            put((indent + "  ".join(line)).rstrip())


def _fitted(wide: list[int], room: int) -> list[int]:
    """Widths of columns with the widest made narrower until all fit; none below what can be read."""
    while sum(wide) + 2 * (len(wide) - 1) > room:
        widest = max(range(len(wide)), key=lambda i: wide[i])
        if wide[widest] <= LEAST:
            break
        wide[widest] -= 1
    return wide


def progress(text: str) -> None:
    """A word on standard error while something takes long; nothing where nobody looks."""
    if sys.stderr.isatty():
        warn(text)


def file_name(name: str) -> str:
    """A plain file name from a job's name: "14-hollow-creek-rd"."""
    kept = "".join(c if c.isascii() and c.isalnum() else "-" for c in name.lower())
    return "-".join(part for part in kept.split("-") if part)[:60] or "job"
