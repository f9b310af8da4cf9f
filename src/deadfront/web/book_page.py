"""The code book as a page: every value, table and rule with section, status and source."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.codebook import Codebook, Rule, Table, Value, open_book
from deadfront.documents.catalog import Catalog
from deadfront.web.amend_page import confirmed, figure, value_word
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
    return BookPage(editions(), edition, query, tuple(lines[:MAX_LINES]), len(book.names()),
                    confirmed(web.settings.overlay, edition, catalog))  # fmt: skip


def _told(line: BookLine) -> str:
    return " ".join((line.kind, line.name, line.value, line.section, line.status, line.source)).lower()


def book_lines(book: Codebook, catalog: Catalog) -> Iterator[BookLine]:
    """Every entry of a book."""
    for kind, name in book.names():
        entry: Value | Table | Rule
        if kind == "value":
            entry = book.value(name)
            value, by = figure(entry.value, entry.unit, catalog), entry.confirmed_by or ""
        elif kind == "table":
            entry = book.table(name)
            value = catalog.key("web.book.rows", count=len(entry.rows))
            by = ", ".join(dict.fromkeys(entry.confirmed.values()))
        else:
            entry = book.rule(name)
            value, by = "", ""
        yield BookLine(
            catalog.key(f"web.book.{kind}"), value_word(name, catalog), value, entry.section,
            catalog.key(f"web.book.status.{entry.status}"),
            getattr(entry, "source", ""), by and catalog.key("web.book.by", who=by),
        )  # fmt: skip
