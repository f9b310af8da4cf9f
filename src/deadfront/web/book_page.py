"""The code book as a page: every value, table and rule with section, status and source."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.codebook import Codebook, Rule, Table, Value, open_book
from deadfront.documents.catalog import Catalog
from deadfront.web.contexts import BookPage
from deadfront.web.desk import Web
from deadfront.web.jobs_page import editions, last_edition
from deadfront.web.pieces import BookLine

MAX_LINES = 200


def book_page(web: Web, catalog: Catalog, edition: str, query: str) -> BookPage:
    """What is found for a search in an edition; all of it for none."""
    edition = edition if edition in editions() else last_edition(web)
    book = open_book(edition, overlay=web.settings.overlay)
    words = query.lower().split()
    lines = [line for line in book_lines(book, catalog) if all(word in _told(line) for word in words)]
    return BookPage(editions(), edition, query, tuple(lines[:MAX_LINES]), len(book.names()))


def _told(line: BookLine) -> str:
    return " ".join((line.kind, line.name, line.value, line.section, line.status, line.source)).lower()


def _figure(entry: Value, catalog: Catalog) -> str:
    if isinstance(entry.value, bool):
        return catalog.key("web.known.yes" if entry.value else "web.known.no")
    return f"{catalog.value(entry.value)} {entry.unit}".strip()


def book_lines(book: Codebook, catalog: Catalog) -> Iterator[BookLine]:
    """Every entry of a book."""
    for kind, name in book.names():
        entry: Value | Table | Rule
        if kind == "value":
            entry = book.value(name)
            value, confirmed = _figure(entry, catalog), entry.confirmed_by or ""
        elif kind == "table":
            entry = book.table(name)
            value, confirmed = catalog.key("web.book.rows", count=len(entry.rows)), ""
        else:
            entry = book.rule(name)
            value, confirmed = "", ""
        words = f"value.{name}" if catalog.has(f"value.{name}") else ""
        said = catalog.key(words) if words else name.replace("_", " ")
        yield BookLine(
            catalog.key(f"web.book.{kind}"), said, value, entry.section, catalog.key(f"web.book.status.{entry.status}"),
            getattr(entry, "source", ""), confirmed,
        )  # fmt: skip
