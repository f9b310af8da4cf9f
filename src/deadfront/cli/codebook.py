"""`deadfront codebook`: what the code book holds, with edition, section, status and source of every figure."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.cli import jobs, text
from deadfront.cli.ending import Ending
from deadfront.cli.options import EDITIONS, language_option, overlay_option
from deadfront.codebook import Codebook, Rule, Table, Value, open_book, read_amendments
from deadfront.codebook.data_files import coverage_of, data
from deadfront.documents.catalog import Catalog
from deadfront.errors import EditionNotEncoded
from deadfront.store.archive import as_text
from deadfront.worksheet.cite import Cite

KINDS = ("values", "tables", "rules")


@click.group("codebook")
def codebook_command() -> None:
    """Show what the code book holds: values, tables and rules, with section, status and source.

    Nothing here is the text of a code: figures and facts with where they stand. What public sources do not support is
    marked: compare it with your own book.

    \b
    Examples:
      deadfront codebook list --edition 2023
      deadfront codebook show lighting_unit_load
      deadfront codebook show range_demand --edition 2020
    """


@codebook_command.command("list")
@click.option("--edition", type=click.Choice(EDITIONS), default="2023", show_default=True, help="Which edition.")
@click.option("--status", type=click.Choice(["verified", "partly", "memory"]), help="Only what is so supported.")
@language_option
def list_command(edition: str, status: str | None, language: str | None) -> int:
    """List every value, table and rule of an edition, with section and status.

    \b
    Examples:
      deadfront codebook list
      deadfront codebook list --edition 2026 --status memory

    Exit code: 0.
    """
    catalog, book = jobs.catalog_for(language), open_book(edition)
    heads = [catalog.key(f"cli.column.{name}") for name in ("name", "kind", "figure", "section", "status")]
    rows = []
    for kind, name in book.names():
        entry = entry_of(book, name)
        if status is None or entry.status == status:
            rows.append([name, kind, figure(entry), entry.section, entry.status])
    text.table([heads, *rows], indent="")
    return Ending.OK


@codebook_command.command("show")
@click.argument("name")
@click.option("--edition", type=click.Choice(EDITIONS), help="Only this edition. Left out: all of them; a table's rows "
              "are shown as in the latest that has them.")  # fmt: skip
@click.option("--amendments", type=click.Path(path_type=Path, exists=True, dir_okay=False), metavar="FILE",
              help="Local amendments to apply (TOML).")  # fmt: skip
@overlay_option
@language_option
def show_command(
    name: str, edition: str | None, amendments: Path | None, overlay: Path | None, language: str | None
) -> int:
    """Show a value, table or rule by edition: figure, section, status, source, who compared it with the book.

    \b
    Examples:
      deadfront codebook show lighting_unit_load
      deadfront codebook show range_demand --edition 2023
      deadfront codebook show optional_first_va --overlay mine.toml

    Exit code: 0; 2 no such name; 5 the edition asked for does not hold it.
    """
    catalog = jobs.catalog_for(language)
    if not any(name in data().coverage[kind] for kind in KINDS):
        raise click.UsageError(f"The code book knows nothing called {name!r}. See: deadfront codebook list")
    local = () if amendments is None else (read_amendments(as_text(amendments.read_bytes(), amendments.name),
                                                           amendments.name),)  # fmt: skip
    confirmed = jobs.overlay_of(overlay)
    if edition is not None:
        book = open_book(edition, amendments=local, overlay=confirmed)
        entry = entry_of(book, name)
        show_lines([entry], catalog)
        show_rows(entry, catalog)
        return Ending.OK
    books = [open_book(each, overlay=confirmed) for each in EDITIONS]
    entries = [entry_of(book, name) for book in books if book.has(name)]
    show_lines(entries, catalog)
    kind = next(kind for kind in KINDS if name in data().coverage[kind])
    for book in books:
        if not book.has(name):
            why = coverage_of(kind, name, book.edition).removeprefix("no: ")
            text.say(f"{book.edition}: {catalog.key(f'codebook.reason.{why}')}", "  ")
    if entries:
        show_rows(entries[-1], catalog)
    return Ending.OK


def entry_of(book: Codebook, name: str) -> Value | Table | Rule:
    """The value, table or rule of that name.

    Raises:
        EditionNotEncoded: this edition does not hold it.
    """
    for kind, read in (("values", book.value), ("tables", book.table), ("rules", book.rule)):
        if name in data().coverage[kind]:
            return read(name)
    raise EditionNotEncoded("codebook.name_unknown", found=name, allowed=())


def figure(entry: Value | Table | Rule) -> str:
    """The figure with its unit; for a table or rule nothing."""
    if not isinstance(entry, Value):
        return ""
    if isinstance(entry.value, bool):
        return "yes" if entry.value else "no"
    return f"{entry.value} {entry.unit}".strip()


def support(cite: Cite, catalog: Catalog) -> str:
    """How far a figure is supported, and who compared it with the book."""
    said: list[str] = [cite.status]
    if cite.confirmed_by:
        said.append(catalog.key("cite.confirmed", who=cite.confirmed_by))
    elif cite.marked:
        said.append(catalog.key("cite.memory"))
    return "; ".join(said)


def show_lines(entries: list[Value | Table | Rule], catalog: Catalog) -> None:
    """One line for each edition."""
    heads = [catalog.key(f"cli.column.{name}") for name in ("edition", "figure", "section", "source", "status")]
    rows = []
    for entry in entries:
        source = f"{entry.source}: {data().sources.get(entry.source, '')}".rstrip(": ")
        section = f"{entry.section} ({entry.cite.code})" if entry.cite.code != "NEC" else entry.section
        rows.append([entry.edition, figure(entry), section, support(entry.cite, catalog), source])
    heads[3], heads[4] = heads[4], heads[3]
    text.table([heads, *rows], indent="")


def show_rows(entry: Value | Table | Rule, catalog: Catalog) -> None:
    """The rows of a table, or what a rule is made of."""
    if isinstance(entry, Table):
        text.heading(f"{entry.name}, {entry.edition}")
        rows = [[*(str(row[c]) if row[c] is not None else "" for c in entry.columns), entry.row_status(row)]
                for row in entry.rows]  # fmt: skip
        text.table([[*entry.columns, catalog.key("cli.column.status")], *rows])
    elif isinstance(entry, Rule):
        text.heading(f"{entry.subject}, {entry.edition}")
        rows = [[key, ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)]
                for key, value in entry.params.items()]  # fmt: skip
        rows += [[catalog.key("cli.column.readings"), ", ".join(entry.readings)]] if entry.readings else []
        text.table(rows)
