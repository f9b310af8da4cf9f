"""The library of jobs: revisions are only ever added; a save from a stale base is refused."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from deadfront.errors import NotAllowed, NotFound
from deadfront.msg import Msg
from deadfront.store import moments
from deadfront.store.rows import JobRow, Kind, Revision, RevisionRow, Status, text_hash
from deadfront.store.said import msg_from_json, to_json
from deadfront.store.shelves import Attachments, Issued, Notes
from deadfront.store.trouble import LibraryDamaged, StaleRevision, guarded

if TYPE_CHECKING:
    from collections.abc import Iterator

    import sqlalchemy as sa


SHARED_KINDS = ("recording",)
"""Results made of a file alone: another job may hold the same file."""


def open_library(path: Path, *, busy_timeout_s: float = 10.0) -> Library:
    """Open the library in a file, making it where it is missing and bringing an older one up to date.

    Raises:
        LibraryTrouble: busy, damaged, unwritable, full, or made by a newer version.
    """
    from deadfront.store import engine  # the database packages, only now

    with guarded(path):
        fresh = not path.exists()
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        opened = engine.sqlite_engine(path, busy_timeout_s)
        engine.bring_up_to_date(opened, path)
        if fresh:
            path.chmod(0o600)  # names, photos and license numbers are for its owner; the journal follows
    return Library(opened, path)


def name_in(parsed: Any, otherwise: str) -> str:
    """The name a parsed job gives itself."""
    head = parsed.get("job") if isinstance(parsed, dict) else None
    name = head.get("name") if isinstance(head, dict) else None
    return name[:200] if isinstance(name, str) and name else otherwise


class Library(Attachments, Issued, Notes):
    """Jobs with all their revisions, attachments, issued records, asked results, preferences.

    Safe to use from several threads and several programs at once.

    Args:
        engine: An engine whose schema is up to date.
        path: The library's file, for messages and for the folder of large attachments beside it.
    """

    def __init__(self, engine: sa.Engine, path: Path) -> None:
        from deadfront.store import tables

        self.engine, self.path, self.tables = engine, path, tables
        self._writer = engine.execution_options(writes=True)

    @contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """A connection that sees one state of the library."""
        with guarded(self.path), self.engine.begin() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[sa.Connection]:
        """A connection that changes the library, all or nothing."""
        with guarded(self.path), self._writer.begin() as connection:
            yield connection

    def close(self) -> None:
        """Let go of the file."""
        self.engine.dispose()

    def __enter__(self) -> Library:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def jobs(self, *, deleted: bool = False) -> list[JobRow]:
        """Every job, the last changed first; deleted ones only when asked for."""
        table = self.tables.jobs
        query = table.select().order_by(table.c.changed.desc(), table.c.id)
        if not deleted:
            query = query.where(table.c.status != "deleted")
        with self.reading() as connection:
            return [_job_row(row) for row in connection.execute(query)]

    def job(self, job_id: str) -> JobRow:
        """One job's row.

        Raises:
            NotFound: no such job.
        """
        with self.reading() as connection:
            return self._job(connection, job_id)

    def _job(self, connection: sa.Connection, job_id: str) -> JobRow:
        table = self.tables.jobs
        row = connection.execute(table.select().where(table.c.id == job_id)).first()
        if row is None:
            raise NotFound("store.job.not_found", job=job_id)
        return _job_row(row)

    def create(
        self,
        text: str,
        json: Any,
        *,
        job_id: str,
        who: str,
        at: datetime,
        say: Msg,
        kind: Kind = "create",
        follows: tuple[str, int] | None = None,
        attachments: Sequence[tuple[str, str, bytes]] = (),
    ) -> tuple[str, int]:
        """A new job with its first revision and attachments, all or nothing.

        Args:
            follows: A job and its current revision: it is closed, and the new one takes over its attachments.
            attachments: Name, media type and bytes of each.
        Raises:
            NotAllowed: the id is taken, or the job to follow is not open.
            NotFound: no such job to follow.
            StaleRevision: the job to follow has a newer revision.
        """
        for _, _, data in attachments:
            self._shelve(data)
        table, when = self.tables.jobs, moments.to_text(at)
        with self.writing() as connection:
            if connection.execute(table.select().where(table.c.id == job_id)).first() is not None:
                raise NotAllowed("store.job.id_taken", job=job_id)
            if follows is not None:
                self._current(connection, *follows)
                closed = table.update().where(table.c.id == follows[0])
                connection.execute(closed.values(status="closed", changed=when))
            connection.execute(
                table.insert().values(
                    id=job_id,
                    name=name_in(json, job_id),
                    created=when,
                    changed=when,
                    revision=1,
                    status="open",
                    follows=follows[0] if follows else None,
                )
            )
            self._add(connection, job_id, 1, None, text, json, kind=kind, say=say, edits=[], touched=(), who=who, at=at)
            if follows is not None:
                self._share(connection, follows[0], job_id)
            for name, media, data in attachments:
                self._attach(connection, job_id, data, media, name)
        return job_id, 1

    def _current(self, connection: sa.Connection, job_id: str, base: int) -> JobRow:
        """The row of an open job whose current revision is `base`."""
        job = self._job(connection, job_id)
        if job.status != "open":
            raise NotAllowed("store.job.not_open", job=job.name, status=Msg(f"store.status.{job.status}"))
        if base != job.revision:
            touched = self._touched(connection, job_id, base)
            raise StaleRevision(job=job.name, base=base, current=job.revision, touched=touched)
        return job

    def save(
        self,
        job_id: str,
        base: int,
        text: str,
        json: Any,
        *,
        kind: Kind,
        say: Msg,
        edits: Any,
        touched: Sequence[str],
        who: str,
        at: datetime,
    ) -> int:
        """Save a new revision made from `base`; its number.

        Raises:
            StaleRevision: `base` is not the current revision any more.
            NotAllowed: the job is closed or deleted.
            NotFound: no such job.
        """
        table = self.tables.jobs
        with self.writing() as connection:
            job = self._current(connection, job_id, base)
            number = base + 1
            moved = connection.execute(
                table.update()
                .where(table.c.id == job_id, table.c.revision == base)
                .values(revision=number, changed=moments.to_text(at), name=name_in(json, job.name))
            )
            if moved.rowcount != 1:  # only where writers do not wait for each other at the start
                raise StaleRevision(job=job.name, base=base, current=number, touched=())
            self._add(
                connection, job_id, number, base, text, json,
                kind=kind, say=say, edits=edits, touched=touched, who=who, at=at,
            )  # fmt: skip
        return number

    def _add(
        self, connection: sa.Connection, job_id: str, number: int, parent: int | None, text: str, json: Any, *,
        kind: Kind, say: Msg, edits: Any, touched: Sequence[str], who: str, at: datetime,
    ) -> None:  # fmt: skip
        connection.execute(
            self.tables.revisions.insert().values(
                job=job_id,
                number=number,
                parent=parent,
                at=moments.to_text(at),
                who=who,
                say=to_json(say),
                kind=kind,
                edits=edits,
                touched=list(touched),
                toml=text,
                parsed=json,
                sha256=text_hash(text),
            )
        )

    def _touched(self, connection: sa.Connection, job_id: str, base: int) -> tuple[str, ...]:
        table = self.tables.revisions
        query = table.select().with_only_columns(table.c.touched)
        query = query.where(table.c.job == job_id, table.c.number > base).order_by(table.c.number)
        return tuple(dict.fromkeys(path for row in connection.execute(query) for path in row.touched))

    def mark(self, job_id: str, status: Status, *, at: datetime) -> None:
        """Mark a job open, closed or deleted; its revisions stay. What was asked for goes with a deleted job."""
        table, results = self.tables.jobs, self.tables.results
        with self.writing() as connection:
            self._job(connection, job_id)
            if status == "deleted":
                own = results.c.kind.not_in(SHARED_KINDS)
                connection.execute(results.delete().where(results.c.job == job_id, own))
            changed = moments.to_text(at)
            connection.execute(table.update().where(table.c.id == job_id).values(status=status, changed=changed))

    def head(self, job_id: str) -> Revision:
        """The current revision.

        Raises:
            NotFound: no such job.
        """
        with self.reading() as connection:
            return self._revision(connection, job_id, self._job(connection, job_id).revision)

    def revision(self, job_id: str, number: int) -> Revision:
        """A revision by its number.

        Raises:
            NotFound: no such job or revision.
        """
        with self.reading() as connection:
            self._job(connection, job_id)
            return self._revision(connection, job_id, number)

    def _revision(self, connection: sa.Connection, job_id: str, number: int) -> Revision:
        table = self.tables.revisions
        row = connection.execute(table.select().where(table.c.job == job_id, table.c.number == number)).first()
        if row is None:
            raise NotFound("store.revision.not_found", job=job_id, revision=number)
        if text_hash(row.toml) != row.sha256:
            raise LibraryDamaged("store.revision.damaged", path=str(self.path), job=job_id, revision=number)
        return Revision(_revision_row(row), row.toml, row.parsed)

    def history(self, job_id: str) -> list[RevisionRow]:
        """Every revision without its text, the newest first.

        Raises:
            NotFound: no such job.
        """
        table = self.tables.revisions
        columns = [column for column in table.c if column.name not in ("toml", "parsed")]
        query = table.select().with_only_columns(*columns).where(table.c.job == job_id).order_by(table.c.number.desc())
        with self.reading() as connection:
            self._job(connection, job_id)
            return [_revision_row(row) for row in connection.execute(query)]

    def check(self) -> list[Msg]:
        """What does not hold together: the file itself, a text that is not what was saved, a gap in a history."""
        found: list[Msg] = []
        with self.reading() as connection:
            if self.engine.dialect.name == "sqlite":
                lines = [str(line) for line in connection.exec_driver_sql("PRAGMA integrity_check").scalars()]
                found += [Msg("store.check.file", {"problem": line}) for line in lines if line != "ok"]
            for job in connection.execute(self.tables.jobs.select()).all():
                table = self.tables.revisions
                query = table.select().where(table.c.job == job.id).order_by(table.c.number)
                rows = connection.execute(query.with_only_columns(table.c.number, table.c.toml, table.c.sha256)).all()
                if [row.number for row in rows] != list(range(1, job.revision + 1)):
                    found.append(Msg("store.check.gap", {"job": job.name}))
                found += [
                    Msg("store.check.text", {"job": job.name, "revision": row.number})
                    for row in rows
                    if text_hash(row.toml) != row.sha256
                ]
        return found


def _job_row(row: Any) -> JobRow:
    created, changed = moments.from_text(row.created), moments.from_text(row.changed)
    return JobRow(row.id, row.name, created, changed, row.revision, row.status, row.follows)


def _revision_row(row: Any) -> RevisionRow:
    return RevisionRow(
        job=row.job,
        number=row.number,
        parent=row.parent,
        at=moments.from_text(row.at),
        who=row.who,
        say=msg_from_json(row.say),
        kind=row.kind,
        edits=row.edits,
        touched=tuple(row.touched),
        sha256=row.sha256,
    )
