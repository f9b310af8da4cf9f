"""A Sheet of typed blocks: laid on screen as HTML and on paper as PDF from the same data.

Blocks carry Msgs, figures and verdicts; words, number formats and typesetting live in documents.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from deadfront.msg import Msg
from deadfront.quantities import Interval
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.step import Step


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its unit in a cell: "94.3 to 99.3 A"."""

    value: Interval
    unit: str
    digits: int = 0


@dataclass(frozen=True, slots=True)
class Verdict:
    """A shape and a word in a cell."""

    outcome: Outcome
    say: Msg | None = None


Cell = Msg | Figure | Verdict | str


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading inside a sheet."""

    say: Msg


@dataclass(frozen=True, slots=True)
class Answer:
    """The question of the sheet and its answer in one sentence."""

    question: Msg
    answer: Msg
    outcome: Outcome | None = None
    more: tuple[Msg, ...] = ()


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One or more sentences."""

    say: Msg


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells with column names; `numeric` columns are right-aligned; `margins` cites a section per row."""

    columns: tuple[Msg, ...]
    rows: tuple[tuple[Cell, ...], ...]
    numeric: tuple[int, ...] = ()
    margins: tuple[str, ...] = ()
    key: str = ""


@dataclass(frozen=True, slots=True)
class Working:
    """A worksheet line by line: the Steps of one figure, leaves first, with formulas and sections.

    Args:
        step: The figure.
        above: Figures worked above on the same sheet: their lines are not repeated.
        origins: Where facts come from, by their path or that of their thing.
    """

    step: Step
    above: tuple[Step, ...] = ()
    origins: Mapping[str, Msg] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing to scale, made once as SVG for screen and paper.

    Args:
        svg: The drawing.
        say: What it shows.
        width_mm: Its width on paper.
        page_in: Width and height of a page that it fills alone, frame and title its own; None: within the text.
    """

    svg: str
    say: Msg
    width_mm: Decimal = Decimal(160)
    page_in: tuple[Decimal, Decimal] | None = None


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo of the job, as it was kept: JPEG or PNG bytes without anything but the picture."""

    data: bytes
    say: Msg
    width_mm: Decimal = Decimal(110)


@dataclass(frozen=True, slots=True)
class Findings:
    """Checks listed as a foreman would say them."""

    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """DANGER and WARNING are for injury only (ANSI Z535); the rest is NOTICE."""

    level: Literal["danger", "warning", "notice"]
    say: Msg


@dataclass(frozen=True, slots=True)
class Signature:
    """A line to sign: who, license number, date."""

    role: Msg


@dataclass(frozen=True, slots=True)
class PageBreak:
    """The next block starts on a new page of paper."""


Block = Heading | Answer | Paragraph | Table | Working | Picture | Photo | Findings | Caution | Signature | PageBreak


@dataclass(frozen=True, slots=True)
class SheetHead:
    """What stands at the top of every page of a sheet."""

    job: str
    place: str
    edition: str
    amendments: tuple[str, ...] = ()
    revision: str = ""
    on: str = ""
    engine: str = ""
    digest: str = ""
    draft: tuple[Msg, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One paper of the job.

    Args:
        key: "load", "todo": its place in the packet and its file name.
        title: What it is called.
        head: Job, place, edition, revision, why it is still a draft.
        blocks: Its content in order.
        cites: All sections cited on it, for the foot.
    """

    key: str
    title: Msg
    head: SheetHead
    blocks: tuple[Block, ...]
    cites: tuple[Cite, ...] = field(default=())
