"""The steps from nothing and from every released version lead to the tables of today; PostgreSQL can have them too."""

from __future__ import annotations

import multiprocessing
import re
import sqlite3
import sys
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateIndex, CreateTable

from deadfront.store import engine as engine_file
from deadfront.store.engine import MIGRATIONS, bring_up_to_date, sqlite_engine
from deadfront.store.library import open_library
from deadfront.store.tables import HEAD, VERSIONS, metadata
from tests.store.helping import save


def differences(engine: sa.Engine) -> list[object]:
    """What Alembic finds between a database and the tables of today."""
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        return list(compare_metadata(context, metadata))


def shape(engine: sa.Engine) -> dict[str, list[str]]:
    """Columns, keys and indexes of every table as the database tells them."""
    found = sa.inspect(engine)
    return {
        table: [
            *(f"{c['name']} {c['type']} {c['nullable']}" for c in found.get_columns(table)),
            str(found.get_pk_constraint(table)),
            *sorted(str(key) for key in found.get_foreign_keys(table)),
            *sorted(str(index) for index in found.get_indexes(table)),
        ]
        for table in found.get_table_names()
        if table != "alembic_version"
    }


def test_the_known_versions_are_those_of_the_steps() -> None:
    steps = ScriptDirectory(str(MIGRATIONS))
    assert steps.get_heads() == [HEAD]
    assert [step.revision for step in reversed(list(steps.walk_revisions()))] == list(VERSIONS)


@pytest.mark.parametrize("start", [None, *VERSIONS])
def test_from_every_version_to_the_tables_of_today(tmp_path: Path, start: str | None) -> None:
    path = tmp_path / "library.db"
    engine = sqlite_engine(path)
    if start is not None:
        bring_up_to_date(engine, path, start)
        assert bool(differences(engine)) == (start != HEAD)  # an older one does differ: the comparison sees it
    bring_up_to_date(engine, path)
    assert differences(engine) == []
    fresh = sqlite_engine(tmp_path / "fresh.db")
    metadata.create_all(fresh)
    assert shape(engine) == shape(fresh)


def test_what_was_saved_in_the_first_version_is_there_in_the_last(tmp_path: Path) -> None:
    path = tmp_path / "library.db"
    bring_up_to_date(sqlite_engine(path), path, "0001")
    at = "2026-05-12T12:00:00.000000+00:00"
    digest = "a7937b64b8caa58f03721bb6bacf5c78cb235febe0e70b1b84cd99541461a08e"  # independent: sha256sum of "first"
    with sqlite3.connect(path) as old:
        old.execute("INSERT INTO jobs VALUES ('j-aa', 'Old', ?, ?, 1, 'open', NULL)", (at, at))
        row = ("j-aa", 1, None, at, "J. R.", '{"key": "k", "params": {}}', "create", "[]", "[]", "first", "{}", digest)
        old.execute(f"INSERT INTO revisions VALUES ({', '.join('?' * len(row))})", row)
    with open_library(path) as library:
        assert library.head("j-aa").text == "first"
        assert save(library, "j-aa", 1, "second") == 2
        assert library.issues("j-aa") == [] and library.check() == []


def test_a_step_that_fails_leaves_the_library_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "library.db"
    bring_up_to_date(sqlite_engine(path), path, "0001")
    before = shape(sqlite_engine(path))
    whole = engine_file.upgrade

    def failing(connection: sa.Connection, target: str) -> None:
        whole(connection, target)
        raise RuntimeError("cut off before the end")

    monkeypatch.setattr(engine_file, "upgrade", failing)
    with pytest.raises(RuntimeError):
        open_library(path)
    assert shape(sqlite_engine(path)) == before
    monkeypatch.undo()
    open_library(path).close()
    assert differences(sqlite_engine(path)) == []


def _open(path: str, barrier: object) -> None:
    barrier.wait()  # type: ignore[attr-defined]
    open_library(Path(path)).close()


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork")
def test_two_programs_may_make_the_library_at_once(tmp_path: Path) -> None:
    fork = multiprocessing.get_context("fork")
    barrier = fork.Barrier(2)
    programs = [fork.Process(target=_open, args=(str(tmp_path / "library.db"), barrier)) for _ in range(2)]
    for program in programs:
        program.start()
    for program in programs:
        program.join(30)
    assert [program.exitcode for program in programs] == [0, 0]
    assert differences(sqlite_engine(tmp_path / "library.db")) == []


def test_postgresql_can_have_the_same_tables() -> None:
    dialect = postgresql.dialect()
    statements = [str(CreateTable(table).compile(dialect=dialect)) for table in metadata.sorted_tables]
    statements += [str(CreateIndex(i).compile(dialect=dialect)) for t in metadata.sorted_tables for i in t.indexes]
    assert len(statements) == len(metadata.tables) + 2  # hand: issued by job, results by job and kind
    whole = "\n".join(statements)
    assert "BYTEA" in whole and "JSON" in whole and not re.search(r"SERIAL", whole.replace("id SERIAL", ""))
