"""What the library hands out: plain frozen records."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from deadfront.msg import Msg

Kind = Literal["create", "import", "edit", "undo", "redo", "restore", "upgrade"]
Status = Literal["open", "closed", "deleted"]


def text_hash(text: str) -> str:
    """SHA-256 of a text as UTF-8, in hex."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


@dataclass(frozen=True, slots=True)
class JobRow:
    """A job as it stands in the list of jobs."""

    id: str
    name: str
    created: datetime
    changed: datetime
    revision: int
    status: Status
    follows: str | None = None


@dataclass(frozen=True, slots=True)
class RevisionRow:
    """One line of a job's history.

    Args:
        number: 1 for the first; each save is one more.
        parent: The revision it was made from; None for the first.
        say: What changed.
        edits: The edits as they were asked for (JSON); for an undo, the revision whose text it took.
        touched: Id paths that the save changed.
        sha256: Hash of the text.
    """

    job: str
    number: int
    parent: int | None
    at: datetime
    who: str
    say: Msg
    kind: Kind
    edits: Any
    touched: tuple[str, ...]
    sha256: str


@dataclass(frozen=True, slots=True)
class Revision:
    """A revision whole: its line of history, the text and the parsed form."""

    row: RevisionRow
    text: str
    json: Any

    @property
    def number(self) -> int:
        """Its number."""
        return self.row.number


@dataclass(frozen=True, slots=True)
class AttachmentRow:
    """A photo or recording of a job, without its bytes."""

    hash: str
    name: str
    media: str
    size: int


@dataclass(frozen=True, slots=True)
class Attachment:
    """The bytes of a photo or recording."""

    hash: str
    media: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Issue:
    """What was signed: the revision, by whom, with which code book and engine, and every answer given."""

    job: str
    revision: int
    at: datetime
    who: str
    license: str
    codebook_hash: str
    engine_version: str
    result_digest: str
    answers: Mapping[str, str]
    language: str


@dataclass(frozen=True, slots=True)
class AskedResult:
    """The stored result of a stage that runs only when asked."""

    kind: str
    input_hash: str
    engine_version: str
    job: str | None
    at: datetime
    body: Any
