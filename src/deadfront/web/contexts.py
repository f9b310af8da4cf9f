"""What each page is given: one frozen class a page, every key said here and used by its template."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from deadfront.web.pieces import (
    AmendmentLine,
    Asked,
    Assumption,
    BookLine,
    EntryTable,
    Field,
    IssueLine,
    JobLine,
    MethodChoice,
    PastedRow,
    RevisionLine,
    ShareRow,
    SheetLine,
    Shell,
    SideRow,
    StepLine,
    SystemLine,
    ToDo,
    Worked,
)
from deadfront.web.recording_pieces import RecordingLine


@dataclass(frozen=True, slots=True)
class SurveyPage:
    """Survey: what is there, and what is still to find out.

    Args:
        shell: What every page has.
        answer: The answer in one sentence.
        todo: What is still to find out, what bars a signature first.
        rest: The rest of that list, folded away.
        service: Facts of the job and its service.
        further: Facts of the service that follow from others.
        after: The service as the work leaves it.
        units: Facts of the dwelling units that only some houses need.
        systems: Energy management.
        steps: The steps of the work in order.
        tables: Units, panels, circuits, loads, sources.
        kept: Blocks of the job file that could not be read, word for word.
        kinds: Names of the kinds of loads, suggested while typing.
        circuits: Circuits by their spaces, suggested while typing.
        caution: The DANGER that stands where the cover comes off.
    """

    shell: Shell
    answer: str
    todo: tuple[ToDo, ...]
    rest: tuple[ToDo, ...]
    service: tuple[Field, ...]
    further: tuple[Field, ...]
    after: tuple[Field, ...]
    units: tuple[Field, ...]
    systems: tuple[SystemLine, ...]
    steps: tuple[StepLine, ...]
    tables: tuple[EntryTable, ...]
    kept: tuple[str, ...]
    kinds: tuple[str, ...]
    circuits: tuple[tuple[str, str], ...]
    caution: Markup


@dataclass(frozen=True, slots=True)
class LoadPage:
    """Load: does the service carry it?

    Args:
        shell: What every page has.
        sheet: Answer, picture, methods, service and findings, laid as on paper.
        methods: The methods to choose from.
        readings: Disputed rules as choices.
        assumptions: Named assumptions as toggles.
        worked: Every method and the service, line by line.
        sections: The sections used.
        wanted: The list of new loads, typed here too.
        kinds: Names of the kinds of loads, suggested while typing.
        circuits: Circuits by their spaces, suggested while typing.
        recordings: The recordings of the demand.
        plots: Their plots, as in the packet.
    """

    shell: Shell
    sheet: Markup
    methods: tuple[MethodChoice, ...]
    readings: tuple[Field, ...]
    assumptions: tuple[Assumption, ...]
    worked: tuple[Worked, ...]
    sections: tuple[str, ...]
    wanted: EntryTable
    kinds: tuple[str, ...]
    circuits: tuple[tuple[str, str], ...]
    recordings: tuple[RecordingLine, ...]
    plots: Markup


@dataclass(frozen=True, slots=True)
class SharesPart:
    """How much each load matters to the method relied on.

    Args:
        rows: Loads, the greatest first.
        method: The method relied on.
    """

    rows: tuple[ShareRow, ...]
    method: str


@dataclass(frozen=True, slots=True)
class JobsPage:
    """The jobs of the library.

    Args:
        jobs: Every job, the last changed first.
        editions: Editions to choose from.
        edition: The one used last.
        typed: What was typed into the form for a new job.
        trouble: Why the last thing asked for was not done, or "".
        noted: What was done last and is worth saying.
    """

    jobs: tuple[JobLine, ...]
    editions: tuple[str, ...]
    edition: str
    typed: Mapping[str, str]
    trouble: str = ""
    noted: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FirstLookPage:
    """Ten questions that give a first answer.

    Args:
        questions: The questions in order.
        editions: Editions to choose from.
        edition: The one chosen.
        name: Name of the job.
        trouble: Why it was not taken, or "".
    """

    questions: tuple[Asked, ...]
    editions: tuple[str, ...]
    edition: str
    name: str
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """History: what changed, and the way back.

    Args:
        shell: What every page has.
        revisions: Every revision, the newest first.
    """

    shell: Shell
    revisions: tuple[RevisionLine, ...]


@dataclass(frozen=True, slots=True)
class StalePart:
    """Mine and theirs side by side.

    Args:
        job_id: The job.
        say: What happened.
        sides: Every fact of mine.
        edits: My edits, to be made again as chosen.
        current: The revision that stands now.
        page: The page to go back to.
    """

    job_id: str
    say: str
    sides: tuple[SideRow, ...]
    edits: str
    current: int
    page: str


@dataclass(frozen=True, slots=True)
class PacketPage:
    """Packet: the sheets for the inspector, and signing.

    Args:
        shell: What every page has.
        sheets: The sheets there are.
        issues: What was signed before.
        changed: Answers that are no longer as signed.
        barred: What bars a signature, the next thing first.
        left_out: What was asked for and is stale, so that it is not in the packet.
        license: License number as the job has it.
        signer: Name as the job has it.
        caution: The NOTICE that stands by every load answer.
    """

    shell: Shell
    sheets: tuple[SheetLine, ...]
    issues: tuple[IssueLine, ...]
    changed: tuple[str, ...]
    barred: tuple[str, ...]
    left_out: tuple[str, ...]
    license: str
    signer: str
    caution: Markup


@dataclass(frozen=True, slots=True)
class SheetPage:
    """One sheet as it is printed.

    Args:
        shell: What every page has.
        title: What the sheet is called.
        sheet: The sheet.
    """

    shell: Shell
    title: str
    sheet: Markup


@dataclass(frozen=True, slots=True)
class BookPage:
    """What the code book holds.

    Args:
        editions: Editions to choose from.
        edition: The one shown.
        query: What was searched for.
        lines: What was found.
        total: How many entries this edition holds.
        confirmed: Whose confirmations apply, or "".
    """

    editions: tuple[str, ...]
    edition: str
    query: str
    lines: tuple[BookLine, ...]
    total: int
    confirmed: str


@dataclass(frozen=True, slots=True)
class AmendPage:
    """Local amendments of a job.

    Args:
        shell: What every page has.
        held: Those in force.
        name: What the pasted one is called.
        text: Its text as typed.
        read: What it would change; None where nothing was read.
        trouble: Why it cannot be taken, or "".
        confirmed: Whose confirmations apply, or "".
    """

    shell: Shell
    held: tuple[AmendmentLine, ...]
    name: str
    text: str
    read: AmendmentLine | None
    trouble: str
    confirmed: str


@dataclass(frozen=True, slots=True)
class HelpPage:
    """Help on one finding.

    Args:
        title: The finding's id.
        body: The help.
    """

    title: str
    body: Markup


@dataclass(frozen=True, slots=True)
class TroublePage:
    """Why something was not done.

    Args:
        heading: What happened.
        say: What to do.
        back: Where to go on.
    """

    heading: str
    say: str
    back: str


@dataclass(frozen=True, slots=True)
class PastePart:
    """What was understood of a pasted list.

    Args:
        job_id: The job.
        table: The list it goes into.
        heads: Columns in their order.
        rows: The lines as understood.
        good: How many can be entered.
        text: The text itself, to be corrected.
        page: The page it was pasted on.
        said: What to say of the whole.
    """

    job_id: str
    table: str
    heads: tuple[str, ...]
    rows: tuple[PastedRow, ...]
    good: int
    text: str
    page: str
    said: str
