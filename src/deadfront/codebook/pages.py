"""The reference pages the code book writes about itself: what it supports, and where that was confirmed."""

from __future__ import annotations

from deadfront.codebook.book import Codebook, open_book
from deadfront.codebook.data_files import coverage_of, data
from deadfront.codebook.editions import EDITIONS
from deadfront.codebook.entries import Table

_COVERAGE = """# What the code book supports

Made from the data files of the code book; do not edit.

Each cell gives the section in that edition and how far public sources support the entry. No official copy of the
code was at hand. The adopted code, local amendments and the authority having jurisdiction come first.

| Word | Meaning |
|---|---|
| verified | Matched to a public source, or to the arithmetic of a published worked example; no change met since |
| partly | Section or part of the value confirmed; or confirmed in other editions, and no change met |
| memory | No source found. It computes, and the sheet prints a mark until a license holder confirms it |
| not encoded | The program refuses to compute it and says why |
"""
_SOURCES = """# Where figures were confirmed

Made from the data files of the code book; do not edit.

| Key | Source |
|---|---|
"""


def coverage_page() -> str:
    """The text of docs/reference/coverage.md: every value, table and rule by edition."""
    books = [open_book(edition) for edition in EDITIONS]
    lines = [_COVERAGE, "## Rules by subject", "", *_head("Subject")]
    lines += [_line("rules", name, f"`{name}`", books) for name in data().rules]
    lines += ["", "## Values", "", *_head("Value")]
    lines += [_line("values", name, _value_name(name), books) for name in data().values]
    lines += ["", "## Tables", "", *_head("Table")]
    lines += [_line("tables", name, f"`{name}`", books) for name in data().tables]
    lines += ["", "### Rows and cells with less support than their table", "", *_weak_rows(books)]
    lines += ["", "## Readings that are disputed", "", *_readings(books)]
    lines += ["", "## Why something is not encoded", ""]
    lines += [f"- `{why}`: {words}" for why, words in data().reasons.items()]
    return "\n".join(lines) + "\n"


def sources_page() -> str:
    """The text of docs/reference/sources.md: the short source keys in plain words."""
    return _SOURCES + "\n".join(f"| {key} | {words} |" for key, words in data().sources.items()) + "\n"


def _head(first: str) -> list[str]:
    return [f"| {first} | {' | '.join(EDITIONS)} |", "|---" * (len(EDITIONS) + 1) + "|"]


def _line(kind: str, name: str, shown: str, books: list[Codebook]) -> str:
    return f"| {shown} | {' | '.join(_cell(kind, name, book) for book in books)} |"


def _cell(kind: str, name: str, book: Codebook) -> str:
    word = coverage_of(kind, name, book.edition)
    if word.startswith("no: "):
        return f"not encoded: `{word.removeprefix('no: ')}`"
    if kind == "values":
        value = book.value(name)
        figure = {True: "yes", False: "no"}.get(value.value) if isinstance(value.value, bool) else value.value
        return f"{figure}; {value.section}; {word} ({value.source})"
    entry = book.table(name) if kind == "tables" else book.rule(name)
    return f"{entry.section}; {word} ({entry.source})"


def _value_name(name: str) -> str:
    unit = data().values[name]["unit"]
    return f"`{name}` [{unit}]" if unit else f"`{name}`"


def _weak_rows(books: list[Codebook]) -> list[str]:
    book = books[EDITIONS.index("2023")]
    return [line for name in data().tables for line in _weak_cells(book.table(name))]


def _weak_cells(table: Table) -> list[str]:
    weak: dict[tuple[str, str], list[str]] = {}
    for row, statuses in zip(table.rows, table.statuses, strict=True):
        for column, word in statuses.items():
            if word != "verified":
                weak.setdefault((column, word), []).append(table.label(row))
    return [f"- `{table.name}`{f' `{column}`' if column else ''}, {word}: {', '.join(rows)}"
            for (column, word), rows in weak.items()]  # fmt: skip


def _readings(books: list[Codebook]) -> list[str]:
    told: list[str] = []
    for name in data().rules:
        for book in books:
            if book.has(name) and book.rule(name).readings:
                told.append(
                    f"- `{name}`, {book.edition}: {', '.join(f'`{each}`' for each in book.rule(name).readings)}"
                )
    return told
