"""What the library keeps beside the revisions: attachments, issued records, asked results, preferences."""

from __future__ import annotations

import io
import re
from abc import ABC, abstractmethod
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from deadfront.errors import NotAllowed, NotFound
from deadfront.store import moments
from deadfront.store.files import Shelf, bytes_hash
from deadfront.store.rows import AskedResult, Attachment, AttachmentRow, Issue, JobRow, Revision
from deadfront.store.trouble import LibraryDamaged, guarded

if TYPE_CHECKING:
    import sqlalchemy as sa

# Photos of a phone are larger and go to files; labels, notes and short recordings stay in the one file.
LARGEST_IN_ROW_BYTES = 256 * 1024
ATTACHMENT_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")


class Room(ABC):
    """What the shelves need of the library."""

    path: Path
    tables: Any

    @abstractmethod
    def reading(self) -> AbstractContextManager[sa.Connection]:
        """A connection that sees one state of the library."""

    @abstractmethod
    def writing(self) -> AbstractContextManager[sa.Connection]:
        """A connection that changes the library, all or nothing."""

    @abstractmethod
    def _job(self, connection: sa.Connection, job_id: str) -> JobRow:
        """A job's row, or NotFound."""

    @abstractmethod
    def _revision(self, connection: sa.Connection, job_id: str, number: int) -> Revision:
        """A revision, or NotFound."""


class Attachments(Room):
    """Photos and recordings, by hash, outside the revisions."""

    def shelf(self) -> Shelf:
        """The folder of large attachments beside the library."""
        return Shelf(self.path.with_name(self.path.name + ".files"))

    def attach(self, job_id: str, data: bytes, media: str, name: str | None = None) -> str:
        """Add bytes to a job under a name (left out: from the hash); their hash.

        The bytes must be fit to keep: photos with their location already stripped (photos.py).

        Raises:
            NotAllowed: the name is no name, or stands for other bytes in this job.
            NotFound: no such job.
        """
        name = bytes_hash(data)[:16] if name is None else name
        self._shelve(data)
        with self.writing() as connection:
            self._job(connection, job_id)
            return self._attach(connection, job_id, data, media, name)

    def attach_file(self, job_id: str, path: Path, digest: str, media: str, name: str) -> None:
        """Add a large file to a job by the hash it must have; it is copied, never whole in memory.

        Raises:
            NotAllowed: the file is another one by now, or the name stands for other bytes in this job.
            NotFound: no such job.
        """
        try:
            with guarded(self.path):
                self.shelf().take(path, digest)
        except ValueError as error:
            raise NotAllowed("store.attachment.changed", path=str(path)) from error
        with self.writing() as connection:
            self._job(connection, job_id)
            self._link(connection, job_id, digest, media, name, path.stat().st_size, None)

    def open_attachment(self, digest: str) -> BinaryIO:
        """The bytes of a hash as an open file.

        Raises:
            NotFound, LibraryDamaged: as `attachment`.
        """
        path = self.shelf().path(digest)
        if path.exists():
            with guarded(path):
                return path.open("rb")
        return io.BytesIO(self.attachment(digest).data)

    def _shelve(self, data: bytes) -> None:
        """Large bytes go to their file first; then only may a row speak of them."""
        if len(data) > LARGEST_IN_ROW_BYTES:
            with guarded(self.path):
                self.shelf().put(data)

    def _attach(self, connection: sa.Connection, job_id: str, data: bytes, media: str, name: str) -> str:
        if not ATTACHMENT_NAME.fullmatch(name):
            raise NotAllowed("store.attachment.bad_name", name=name)
        kept = None if len(data) > LARGEST_IN_ROW_BYTES else data
        return self._link(connection, job_id, bytes_hash(data), media, name, len(data), kept)

    def _link(
        self, connection: sa.Connection, job_id: str, digest: str, media: str, name: str, size: int, kept: bytes | None
    ) -> str:
        table, links = self.tables.attachments, self.tables.job_attachments
        if connection.execute(table.select().where(table.c.hash == digest)).first() is None:
            connection.execute(table.insert().values(hash=digest, media=media, size=size, bytes=kept))
        link = connection.execute(links.select().where(links.c.job == job_id, links.c.name == name)).first()
        if link is None:
            connection.execute(links.insert().values(job=job_id, name=name, hash=digest))
        elif link.hash != digest:
            raise NotAllowed("store.attachment.name_taken", name=name)
        return digest

    def _share(self, connection: sa.Connection, old: str, new: str) -> None:
        """Attach to one job what is attached to another."""
        links = self.tables.job_attachments
        for row in connection.execute(links.select().where(links.c.job == old)).all():
            connection.execute(links.insert().values(job=new, name=row.name, hash=row.hash))

    def attachment(self, digest: str) -> Attachment:
        """The bytes of a hash.

        Raises:
            NotFound: nothing by this hash.
            LibraryDamaged: the bytes are missing, or no longer what they were.
        """
        table = self.tables.attachments
        with self.reading() as connection:
            row = connection.execute(table.select().where(table.c.hash == digest)).first()
            if row is None:
                raise NotFound("store.attachment.not_found", hash=digest)
            data = self.shelf().get(digest) if row.bytes is None else bytes(row.bytes)
        if data is None or bytes_hash(data) != digest:
            where = self.shelf().path(digest) if row.bytes is None else self.path
            raise LibraryDamaged("store.attachment.damaged", path=str(where), hash=digest)
        return Attachment(digest, row.media, data)

    def attachments(self, job_id: str) -> list[AttachmentRow]:
        """What a job has attached, by name."""
        table, links = self.tables.attachments, self.tables.job_attachments
        query = links.join(table, links.c.hash == table.c.hash).select().where(links.c.job == job_id)
        query = query.with_only_columns(links.c.name, table.c.hash, table.c.media, table.c.size)
        with self.reading() as connection:
            self._job(connection, job_id)
            rows = connection.execute(query.order_by(links.c.name)).all()
        return [AttachmentRow(row.hash, row.name, row.media, row.size) for row in rows]

    def attachment_named(self, job_id: str, name: str) -> Attachment:
        """The bytes a job calls by a name.

        Raises:
            NotFound: nothing of this name in the job.
        """
        for row in self.attachments(job_id):
            if row.name == name:
                return self.attachment(row.hash)
        raise NotFound("store.attachment.not_found", hash=name)


class Issued(Room):
    """What was signed; only ever added."""

    def issue(self, record: Issue) -> None:
        """Keep what was signed.

        Raises:
            NotFound: no such job or revision.
        """
        with self.writing() as connection:
            self._job(connection, record.job)
            self._revision(connection, record.job, record.revision)
            connection.execute(
                self.tables.issued.insert().values(
                    job=record.job,
                    revision=record.revision,
                    at=moments.to_text(record.at),
                    who=record.who,
                    license=record.license,
                    codebook_hash=record.codebook_hash,
                    engine_version=record.engine_version,
                    result_digest=record.result_digest,
                    answers=dict(record.answers),
                    language=record.language,
                )
            )

    def issues(self, job_id: str) -> list[Issue]:
        """Every issued record of a job, the newest first."""
        table = self.tables.issued
        with self.reading() as connection:
            self._job(connection, job_id)
            rows = connection.execute(table.select().where(table.c.job == job_id).order_by(table.c.id.desc())).all()
        return [
            Issue(
                row.job, row.revision, moments.from_text(row.at), row.who, row.license, row.codebook_hash,
                row.engine_version, row.result_digest, row.answers, row.language,
            )
            for row in rows
        ]  # fmt: skip


class Notes(Room):
    """Asked results by what went into them, and preferences."""

    def put_result(self, result: AskedResult) -> None:
        """Keep the result of an asked stage; one of the same input and engine gives way to it."""
        table = self.tables.results
        with self.writing() as connection:
            same = _same(table, result.kind, result.input_hash, result.engine_version)
            connection.execute(table.delete().where(*same))
            connection.execute(
                table.insert().values(
                    kind=result.kind,
                    input_hash=result.input_hash,
                    engine_version=result.engine_version,
                    job=result.job,
                    at=moments.to_text(result.at),
                    body=result.body,
                )
            )

    def get_result(self, kind: str, input_hash: str, engine_version: str) -> AskedResult | None:
        """The result for exactly this input and engine; None where none was asked for."""
        table = self.tables.results
        with self.reading() as connection:
            row = connection.execute(table.select().where(*_same(table, kind, input_hash, engine_version))).first()
        return None if row is None else _asked(row)

    def last_result(self, job_id: str, kind: str) -> AskedResult | None:
        """The last result of a kind for a job, which may be stale; compare its input hash."""
        table = self.tables.results
        query = table.select().where(table.c.job == job_id, table.c.kind == kind).order_by(table.c.at.desc())
        with self.reading() as connection:
            row = connection.execute(query).first()
        return None if row is None else _asked(row)

    def set_preference(self, key: str, value: Any) -> None:
        """Remember a preference (JSON)."""
        table = self.tables.preferences
        with self.writing() as connection:
            connection.execute(table.delete().where(table.c.key == key))
            connection.execute(table.insert().values(key=key, value=value))

    def get_preference(self, key: str, otherwise: Any = None) -> Any:
        """A preference, or what to take where there is none."""
        table = self.tables.preferences
        with self.reading() as connection:
            row = connection.execute(table.select().where(table.c.key == key)).first()
        return otherwise if row is None else row.value


def _same(table: Any, kind: str, input_hash: str, engine_version: str) -> tuple[Any, ...]:
    return table.c.kind == kind, table.c.input_hash == input_hash, table.c.engine_version == engine_version


def _asked(row: Any) -> AskedResult:
    at = moments.from_text(row.at)
    return AskedResult(row.kind, row.input_hash, row.engine_version, row.job, at, row.body)
