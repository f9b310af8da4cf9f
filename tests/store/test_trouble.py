"""A library that cannot be used says what is wrong, where, and is left as it was."""

from __future__ import annotations

import errno
import os
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from deadfront.store import trouble
from deadfront.store.engine import sqlite_engine
from deadfront.store.library import Library, open_library
from tests.store.helping import new_job, save


def said_by(path: Path, kind: type[trouble.LibraryTrouble]) -> str:
    """The key of the trouble that opening gives; its path must be the file's."""
    with pytest.raises(kind) as found:
        open_library(path, busy_timeout_s=0.2)
    assert found.value.msg.params["path"] == str(path)
    return found.value.msg.key


def test_a_file_that_is_no_library(tmp_path: Path) -> None:
    path = tmp_path / "library.db"
    path.write_bytes(b"[job]\nname = 'not a database'\n" * 100)
    assert said_by(path, trouble.LibraryDamaged) == "store.library.damaged"
    assert path.read_bytes().startswith(b"[job]")


def test_a_database_of_something_else_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "library.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE birds (name TEXT)")
    before = path.read_bytes()
    assert said_by(path, trouble.LibraryDamaged) == "store.library.foreign"
    assert path.read_bytes() == before


def test_a_library_of_a_newer_version_is_left_alone(library: Library) -> None:
    library.close()
    with sqlite3.connect(library.path) as other:
        other.execute("UPDATE alembic_version SET version_num = '0999'")
    before = library.path.read_bytes()
    assert said_by(library.path, trouble.LibraryNewer) == "store.library.newer"
    assert library.path.read_bytes() == before


def test_torn_pages_are_damage(library: Library) -> None:
    job = new_job(library)
    for base in range(1, 30):
        save(library, job, base, "x" * 3000)
    library.close()
    size = library.path.stat().st_size
    with library.path.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xa5" * (size - 4096))
    with pytest.raises(trouble.LibraryDamaged), open_library(library.path) as opened:
        opened.head(job)


def test_a_library_held_by_another_program(library: Library) -> None:
    new_job(library)
    holder = sqlite3.connect(library.path, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    try:
        assert said_by(library.path, trouble.LibraryBusy) == "store.library.busy"
    finally:
        holder.close()
    assert save(library, "j-aa", 1, "second") == 2


def test_a_reader_elsewhere_does_not_stop_a_save_for_good(library: Library) -> None:
    new_job(library)
    with library.reading() as connection:
        connection.exec_driver_sql("SELECT * FROM jobs").fetchall()
        with sqlite_engine(library.path, 0.2).execution_options(writes=True).connect() as other:
            other.exec_driver_sql("UPDATE preferences SET value = value")
            other.rollback()
    assert save(library, "j-aa", 1, "second") == 2


def test_no_place_to_write(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert said_by(tmp_path / "file" / "library.db", trouble.LibraryUnwritable) == "store.library.unwritable"
    (tmp_path / "folder.db").mkdir()
    assert said_by(tmp_path / "folder.db", trouble.LibraryUnwritable) == "store.library.unwritable"


def test_a_write_protected_library(library: Library) -> None:
    new_job(library)

    @event.listens_for(library.engine, "connect")
    def protect(connection: Any, _: object) -> None:
        connection.execute("PRAGMA query_only=ON")  # what SQLite also says of a file it may not write: READONLY

    with pytest.raises(trouble.LibraryUnwritable):
        save(library, "j-aa", 1, "second")
    assert library.head("j-aa").text == "first"


def test_a_full_disk_loses_nothing_saved(library: Library) -> None:
    new_job(library)
    with library.reading() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()

    @event.listens_for(library.engine, "connect")
    def fill(connection: Any, _: object) -> None:
        connection.execute(f"PRAGMA max_page_count={pages + 2}")

    with pytest.raises(trouble.LibraryFull) as found:
        save(library, "j-aa", 1, "x" * 100_000)
    assert found.value.msg.params["path"] == str(library.path)
    assert library.head("j-aa").text == "first"
    assert library.check() == []


@pytest.mark.parametrize(
    ("number", "kind"),
    [
        (errno.ENOSPC, trouble.LibraryFull),
        (errno.EDQUOT, trouble.LibraryFull),
        (errno.EACCES, trouble.LibraryUnwritable),
        (errno.EROFS, trouble.LibraryUnwritable),
        (errno.EIO, trouble.LibraryUnwritable),
    ],
)
def test_errors_of_the_disk(number: int, kind: type[trouble.LibraryTrouble]) -> None:
    with pytest.raises(kind), trouble.guarded(Path("library.db")):
        raise OSError(number, os.strerror(number))


def test_a_fault_of_ours_is_not_dressed_up(library: Library) -> None:
    with pytest.raises(ZeroDivisionError), trouble.guarded(library.path):
        raise ZeroDivisionError
    with pytest.raises(Exception, match="no such table"), library.reading() as connection:
        connection.exec_driver_sql("SELECT * FROM birds")


def test_saves_are_synced_to_the_disk_and_the_library_is_one_file(library: Library) -> None:
    new_job(library)
    with library.reading() as connection:
        found = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        }
    assert found == {"journal_mode": "delete", "synchronous": 3, "foreign_keys": 1}  # 3: EXTRA, more than FULL
    assert os.listdir(library.path.parent) == [library.path.name]
