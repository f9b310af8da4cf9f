"""The reference pages the code book writes about itself: what it supports, and where that was confirmed."""

from __future__ import annotations

from importlib import resources
from string import Template

from deadfront.codebook.book import Codebook, open_book
from deadfront.codebook.data_files import coverage_of, data
from deadfront.codebook.editions import EDITIONS
from deadfront.codebook.entries import Table


def coverage_page() -> str:
    """The text of docs/reference/coverage.md: every value, table and rule by edition."""
    books = [open_book(edition) for edition in EDITIONS]
    return _page("coverage", {
        "rules": [*_head("Subject"), *(_line("rules", name, f"`{name}`", books) for name in data().rules)],
        "values": [*_head("Value"), *(_line("values", name, _value_name(name), books) for name in data().values)],
        "tables": [*_head("Table"), *(_line("tables", name, f"`{name}`", books) for name in data().tables)],
        "questions": [*_head("Question"), *(_line("questions", name, f"`{name}`", books) for name in data().questions)],
        "hazards": [*_head("Hazard"), *(_line("hazards", name, f"`{name}`", books) for name in data().hazards)],
        "weak": [line for name in data().tables for line in _weak_cells(open_book("2023").table(name))],
        "readings": _readings(books),
        "reasons": [f"- `{why}`: {words}" for why, words in data().reasons.items()],
    })  # fmt: skip


def sources_page() -> str:
    """The text of docs/reference/sources.md: the short source keys in plain words."""
    return _page("sources", {"sources": [f"| {key} | {words} |" for key, words in data().sources.items()]})


def _page(name: str, parts: dict[str, list[str]]) -> str:
    words = (resources.files("deadfront.codebook") / "page_words" / f"{name}.md").read_text(encoding="utf-8")
    return Template(words).substitute({part: "\n".join(lines) for part, lines in parts.items()})


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
    section, source = _stands(kind, name, book)
    return "; ".join(part for part in (section, f"{word} ({source})") if part)


def _stands(kind: str, name: str, book: Codebook) -> tuple[str, str]:
    if kind in ("questions", "hazards"):
        asked = book.question(name) if kind == "questions" else book.hazard(name)
        return asked.section, asked.source
    entry = book.table(name) if kind == "tables" else book.rule(name)
    return entry.section, entry.source


def _value_name(name: str) -> str:
    unit = data().values[name]["unit"]
    return f"`{name}` [{unit}]" if unit else f"`{name}`"


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
        by_readings: dict[tuple[str, ...], list[str]] = {}
        for book in books:
            if book.has(name) and book.rule(name).readings:
                by_readings.setdefault(book.rule(name).readings, []).append(book.edition)
        told += [f"- `{name}`, {', '.join(editions)}: {', '.join(f'`{each}`' for each in readings)}"
                 for readings, editions in by_readings.items()]  # fmt: skip
    return told
