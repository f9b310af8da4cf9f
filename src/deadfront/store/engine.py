"""The connection to the library's database, and bringing its schema up to date.

SQLite keeps a rollback journal, not a write-ahead log: the library stays one file that can be copied, backed up or
kept on a shared folder, where a write-ahead log is unsafe; saves are small and rare, and measured quicker this way.
Synchronous is EXTRA (FULL, and the folder synced after the journal goes), so that a save once acknowledged outlives
a power cut. Every write begins IMMEDIATE: two writers wait for each other at the start, never in the middle.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.pool import NullPool

from deadfront.store.tables import HEAD, VERSIONS
from deadfront.store.trouble import LibraryDamaged, LibraryNewer

BUSY_TIMEOUT_S = 10.0
MIGRATIONS = Path(__file__).parent / "migrations"


def sqlite_engine(path: Path, busy_timeout_s: float = BUSY_TIMEOUT_S) -> sa.Engine:
    """An engine on one SQLite file; connections are opened when needed and closed after."""
    engine = sa.create_engine(
        sa.URL.create("sqlite", database=str(path)), poolclass=NullPool, connect_args={"timeout": busy_timeout_s}
    )

    @event.listens_for(engine, "connect")
    def prepare(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # BEGIN and COMMIT are ours, so that changes of schema roll back too
        for pragma in ("foreign_keys=ON", "journal_mode=DELETE", "synchronous=EXTRA"):
            connection.execute(f"PRAGMA {pragma}").fetchall()

    @event.listens_for(engine, "begin")
    def begin(connection: sa.Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def schema_version(connection: sa.Connection, path: Path) -> str | None:
    """The version in the library; None for a new one.

    Raises:
        LibraryDamaged: a database that is none of ours.
    """
    names = sa.inspect(connection).get_table_names()
    if not names:
        return None
    if "alembic_version" in names:
        found = connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalars().all()
        if len(found) == 1:
            return str(found[0])
    raise LibraryDamaged("store.library.foreign", path=str(path))


def bring_up_to_date(engine: sa.Engine, path: Path, target: str = HEAD) -> None:
    """Give the library the schema of `target`, all or nothing; quick when it has it.

    Raises:
        LibraryNewer: made by a newer version of this program.
        LibraryDamaged: a database that is none of ours.
    """
    with engine.connect() as connection:
        if schema_version(connection, path) == target:
            return
    with engine.execution_options(writes=True).begin() as connection:
        found = schema_version(connection, path)  # again: another program may just have done it
        if found == target:
            return
        if found is not None and found not in VERSIONS:
            raise LibraryNewer("store.library.newer", path=str(path), found=found, known=HEAD)
        upgrade(connection, target)


def upgrade(connection: sa.Connection, target: str) -> None:
    """Run Alembic's steps up to `target` on a connection with its transaction begun."""
    from alembic import command  # 0.5 s to import: only when there is something to do
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, target)
