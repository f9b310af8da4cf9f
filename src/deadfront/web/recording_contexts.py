"""What the pages of recordings are given: one frozen class a page, every key said here and used by its template."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.web.pieces import Field, Shell
from deadfront.web.recording_pieces import (
    ChannelChoice,
    ColumnFields,
    IncomingLine,
    Question,
    ReadLine,
    RecordingLine,
    RunLine,
)


@dataclass(frozen=True, slots=True)
class RecordingsPage:
    """Recordings: what the demand of the house was measured to be.

    Args:
        shell: What every page has.
        answer: How many there are, in one sentence.
        recordings: Those of the job.
        run: What is done in the background, or how it ended; None for nothing.
        incoming: A file sent up that is no recording yet; None for none.
        limit: The largest file taken, in words.
        most: The same in bytes.
        stale: How many recordings are to be reduced again.
        trouble: Why the last thing asked for was not done, or "".
    """

    shell: Shell
    answer: str
    recordings: tuple[RecordingLine, ...]
    run: RunLine | None
    incoming: IncomingLine | None
    limit: str
    most: int
    stale: int
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class RunPart:
    """What is done in the background.

    Args:
        job_id: The job.
        run: How far it is.
    """

    job_id: str
    run: RunLine


@dataclass(frozen=True, slots=True)
class MappingPage:
    """What a recording file means: understood, asked, shown row by row.

    Args:
        shell: What every page has.
        incoming: The file.
        answer: What is still open, in one sentence.
        cut: Where its table is, so that the columns of the form belong to it.
        remembered: Whether its heading was explained before.
        understood: What the file says, in sentences.
        questions: What it leaves open.
        general: Facts of the whole file that may be changed.
        columns: Its columns.
        heads: Names of the columns, over the rows as they stand in the file.
        rows: The first rows, as typed and as read.
        channels: Channels to choose from; none where there is one only.
        facts: What is said of the recording beside its file.
        zones: Places to choose from, suggested while typing.
        trouble: Why it cannot be read as answered, or "".
    """

    shell: Shell
    incoming: IncomingLine
    answer: str
    cut: str
    remembered: bool
    understood: tuple[str, ...]
    questions: tuple[Question, ...]
    general: tuple[Field, ...]
    columns: tuple[ColumnFields, ...]
    heads: tuple[str, ...]
    rows: tuple[ReadLine, ...]
    channels: tuple[ChannelChoice, ...]
    facts: tuple[Field, ...]
    zones: tuple[tuple[str, str], ...]
    trouble: str = ""
