"""The pieces that the pages of recordings are made of."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.web.pieces import Field


@dataclass(frozen=True, slots=True)
class RunLine:
    """What is done in the background.

    Args:
        kind: read or reduce.
        about: The file.
        status: running, stopping, done, stopped or failed.
        underway: Whether it has not ended yet.
        say: Where it stands, in one sentence.
        more: What to do, or the figures that came of it.
        percent: How far, 0 to 100.
    """

    kind: str
    about: str
    status: str
    underway: bool
    say: str
    more: tuple[str, ...] = ()
    percent: int = 0


@dataclass(frozen=True, slots=True)
class IncomingLine:
    """A file sent up that is no recording of the job yet: its name and size."""

    name: str
    size: str


@dataclass(frozen=True, slots=True)
class RecordingLine:
    """A recording of the job.

    Args:
        ident: Its id.
        name: What it is called.
        told: What it is of, in a few words.
        span: From when to when, and how completely.
        block: Largest quarter hour on the clock.
        sliding: Largest quarter hour beginning at any time.
        marks: What was found in its readings, counted.
        stale: Why its figures are not there; "" where they are.
    """

    ident: str
    name: str
    told: str
    span: str = ""
    block: str = ""
    sliding: str = ""
    marks: tuple[str, ...] = ()
    stale: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """Something the file leaves open: the question, its field, whether reading waits for it."""

    say: str
    field: Field
    must: bool


@dataclass(frozen=True, slots=True)
class ReadLine:
    """A row of the file: its cells as they stand there, and what it is read as; `clear` where all of it is."""

    cells: tuple[str, ...]
    say: str
    clear: bool


@dataclass(frozen=True, slots=True)
class ColumnFields:
    """A column of the file: its name, an example, what it holds; unit, kind and leg where it holds figures."""

    name: str
    example: str
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class ChannelChoice:
    """A channel of the file that may be taken: the name of its box, its own name, whether it is taken."""

    box: str
    name: str
    taken: bool
