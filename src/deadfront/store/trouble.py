"""What can go wrong with the library itself, told as what, where and what to do.

DeadfrontError
├── UnsafeFile
│   └── NotAFile           a pipe, a socket or a device where a file should be
├── StaleEdit
│   └── StaleRevision      the base is no longer the current revision
└── LibraryTrouble         the library as a file
    ├── LibraryBusy        another program held it too long
    ├── LibraryDamaged     not a library, or its content does not hold together
    ├── LibraryUnwritable  no place, no right or no working disk
    ├── LibraryFull        the disk is full
    └── LibraryNewer       made by a newer version of this program
"""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from deadfront.errors import DeadfrontError, StaleEdit, UnsafeFile


class StaleRevision(StaleEdit):
    """The base of a save is no longer the current revision.

    Attributes:
        base: The revision the save was made from.
        current: The revision that is current now.
        touched: Id paths changed since the base.
    """

    def __init__(self, *, job: str, base: int, current: int, touched: tuple[str, ...]) -> None:
        self.base, self.current, self.touched = base, current, touched
        super().__init__("store.stale", job=job, base=base, current=current, touched=touched)


class NotAFile(UnsafeFile):
    """A path leads to something that is neither a plain file nor a folder."""


class LibraryTrouble(DeadfrontError):
    """Base: the library cannot be used as it is."""


class LibraryBusy(LibraryTrouble):
    """Another program held the library too long."""


class LibraryDamaged(LibraryTrouble):
    """The file is no library, or its content does not hold together."""


class LibraryUnwritable(LibraryTrouble):
    """The library cannot be read or written where it is."""


class LibraryFull(LibraryTrouble):
    """No room is left on the disk."""


class LibraryNewer(LibraryTrouble):
    """The library was made by a newer version of this program."""


# Primary result codes of SQLite, by the trouble they mean to the person at the screen.
BY_CODE: dict[int, tuple[type[LibraryTrouble], str]] = {
    sqlite3.SQLITE_BUSY: (LibraryBusy, "store.library.busy"),
    sqlite3.SQLITE_LOCKED: (LibraryBusy, "store.library.busy"),
    sqlite3.SQLITE_PROTOCOL: (LibraryBusy, "store.library.busy"),
    sqlite3.SQLITE_CORRUPT: (LibraryDamaged, "store.library.damaged"),
    sqlite3.SQLITE_NOTADB: (LibraryDamaged, "store.library.damaged"),
    sqlite3.SQLITE_PERM: (LibraryUnwritable, "store.library.unwritable"),
    sqlite3.SQLITE_READONLY: (LibraryUnwritable, "store.library.unwritable"),
    sqlite3.SQLITE_CANTOPEN: (LibraryUnwritable, "store.library.unwritable"),
    sqlite3.SQLITE_IOERR: (LibraryUnwritable, "store.library.disk_error"),
    sqlite3.SQLITE_FULL: (LibraryFull, "store.library.full"),
}
FULL_ERRNOS = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


def trouble(path: Path, error: BaseException) -> LibraryTrouble | None:
    """The trouble a database or disk error means; None where it is a fault of ours."""
    if isinstance(error, OSError):
        problem = error.strerror or str(error)
        if error.errno in FULL_ERRNOS:
            return LibraryFull("store.library.full", path=str(path), problem=problem)
        return LibraryUnwritable("store.library.unwritable", path=str(path), problem=problem)
    cause = getattr(error, "orig", error)
    code = getattr(cause, "sqlite_errorcode", None)
    if code is None or (code & 0xFF) not in BY_CODE:
        return None
    kind, key = BY_CODE[code & 0xFF]
    return kind(key, path=str(path), problem=str(cause))


@contextmanager
def guarded(path: Path) -> Iterator[None]:
    """Turn errors of the database or the disk into troubles that say what to do.

    Raises:
        NotAFile: the path is a pipe, a socket or a device; opening it could wait forever.
    """
    try:
        plain = path.is_file() or path.is_dir() or not path.exists()
    except (OSError, ValueError):
        plain = True  # opening it says what is wrong
    if not plain:
        raise NotAFile("store.not_file", path=str(path))
    try:
        yield
    except DeadfrontError:
        raise
    except Exception as error:
        found = trouble(path, error)
        if found is None:
            raise
        raise found from error
