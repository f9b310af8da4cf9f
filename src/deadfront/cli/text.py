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
WIDEST = 110


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


def table(rows: Sequence[Sequence[str]], right: Sequence[int] = (), indent: str = "  ") -> None:
    """Rows in columns as wide as their longest cell, the first row the heads; a last column that is long is wrapped."""
    if not rows:
        return
    wide = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    for row in rows:
        cells = [cell.rjust(wide[i]) if i in right else cell.ljust(wide[i]) for i, cell in enumerate(row)]
        start = indent + "  ".join(cells[:-1]) + "  " if len(cells) > 1 else indent
        room = max(width() - len(start), 24)
        lines = textwrap.wrap(cells[-1].rstrip(), room) or [""]
        put((start + lines[0]).rstrip())
        for line in lines[1:]:
            put(" " * len(start) + line)


def progress(text: str) -> None:
    """A word on standard error while something takes long; nothing where nobody looks."""
    if sys.stderr.isatty():
        warn(text)


def file_name(name: str) -> str:
    """A plain file name from a job's name: "14-hollow-creek-rd"."""
    kept = "".join(c if c.isascii() and c.isalnum() else "-" for c in name.lower())
    return "-".join(part for part in kept.split("-") if part)[:60] or "job"
