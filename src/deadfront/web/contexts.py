"""What each page is given: one frozen class a page, every key said here and used by its template."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from markupsafe import Markup


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of the route: its name, its answer in a few words, its address ("" where there is no page yet)."""

    name: str
    answer: str
    href: str
    here: bool = False


@dataclass(frozen=True, slots=True)
class Slip:
    """A finding beside the sheet: kind (fails, tell, note), verdict, words, how to end it, field and help."""

    kind: str
    lead: Markup
    say: str
    more: tuple[str, ...]
    href: str
    help: str


@dataclass(frozen=True, slots=True)
class Line:
    """The line on top: what bars a signature, the next thing, the button that leads to it."""

    counts: str
    next: str
    href: str
    button: str
    signable: bool


@dataclass(frozen=True, slots=True)
class Shell:
    """What stands on every page of a job.

    Args:
        job_id: The job.
        name: What it is called.
        where: Place, edition, revision.
        base: The revision shown.
        line: What stands before a signature.
        route: The stages in order.
        slips: What to correct and to find out.
        page: Which page this is, for what an edit changes on it.
        before: The page before, for the bar on a phone; after: the one after.
    """

    job_id: str
    name: str
    where: str
    base: int
    line: Line
    route: tuple[Stage, ...]
    slips: tuple[Slip, ...]
    page: str
    before: Stage
    after: Stage


@dataclass(frozen=True, slots=True)
class Field:
    """One fact to enter.

    Args:
        path: Where it belongs, and its address on the page.
        label: What it is called.
        value: As it stands, "" for not known.
        options: Allowed values and their words; none: it is typed.
        like: An example of what may be typed.
    """

    path: str
    label: str
    value: str
    options: tuple[tuple[str, str], ...] = ()
    like: str = ""


@dataclass(frozen=True, slots=True)
class ToDo:
    """A fact to find out: what, how, how many answers hang on it, the field that ends it or a link to that field."""

    what: str
    how: str
    answers: int
    href: str
    field: Field | None


@dataclass(frozen=True, slots=True)
class Column:
    """A column of an entry table: name, head, whether it is a number, allowed values or a list of suggestions."""

    name: str
    head: str
    number: bool = False
    options: tuple[tuple[str, str], ...] = ()
    suggestions: str = ""
    like: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """A line of an entry table: the ids it has or will have, its texts, whether it is there, what the work does."""

    key: str
    ids: Mapping[str, str]
    values: Mapping[str, str]
    there: bool
    work: str = "E"
    anchors: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class EntryTable:
    """A list that is typed: its key, columns, lines, and the question whether these are all."""

    key: str
    heading: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    complete: Field | None
    pasted: bool = False


@dataclass(frozen=True, slots=True)
class SurveyPage:
    """Survey: what is there, and what is still to find out.

    Args:
        shell: What every page has.
        answer: The answer in one sentence.
        todo: What is still to find out, the most useful first.
        service: Facts of the job and its service.
        tables: Units, panels, circuits, loads.
        kinds: Names of the kinds of loads, suggested while typing.
        circuits: Circuits by their spaces, suggested while typing.
        caution: The DANGER that stands where the cover comes off.
    """

    shell: Shell
    answer: str
    todo: tuple[ToDo, ...]
    service: tuple[Field, ...]
    tables: tuple[EntryTable, ...]
    kinds: tuple[str, ...]
    circuits: tuple[tuple[str, str], ...]
    caution: Markup


@dataclass(frozen=True, slots=True)
class MethodChoice:
    """A method that may be relied on: key, name, its figure, whether it is relied on."""

    key: str
    name: str
    figure: str
    relied: bool


@dataclass(frozen=True, slots=True)
class Worked:
    """A method or the service worked line by line, folded away or open."""

    key: str
    heading: str
    body: Markup
    open: bool


@dataclass(frozen=True, slots=True)
class Assumption:
    """A named assumption: made or not."""

    name: str
    say: str
    made: bool


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


@dataclass(frozen=True, slots=True)
class ShareRow:
    """How much one load matters: its name, amperes it adds, and how long its bar is in hundredths."""

    name: str
    adds: str
    hundredths: int


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
class JobLine:
    """A job in the list: id, name, place, answer, what stands before a signature, date, whether it is closed."""

    id: str
    name: str
    place: str
    answer: str
    standing: str
    on: str
    closed: bool


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
class Asked:
    """A question of the first look: key, words, kind, unit, options, what was answered."""

    key: str
    say: str
    kind: str
    unit: str
    options: tuple[tuple[str, str], ...]
    answer: tuple[str, ...]


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
class RevisionLine:
    """A revision: number, when, by whom, what changed, whether it was signed, whether it is the one shown."""

    number: int
    at: str
    who: str
    say: str
    signed: bool
    current: bool


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
class SideRow:
    """A fact two people changed: path, as it was, mine, theirs, whether both changed it, number of my edit."""

    path: str
    base: str
    mine: str
    theirs: str
    clash: bool


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
class SheetLine:
    """A sheet of the packet: key and title."""

    key: str
    title: str


@dataclass(frozen=True, slots=True)
class IssueLine:
    """What was signed: revision, when, by whom, license, digest."""

    revision: int
    at: str
    who: str
    license: str
    digest: str


@dataclass(frozen=True, slots=True)
class PacketPage:
    """Packet: the sheets for the inspector, and signing.

    Args:
        shell: What every page has.
        sheets: The sheets there are.
        issues: What was signed before.
        changed: Answers that are no longer as signed.
        barred: What bars a signature, the next thing first.
        license: License number as the job has it.
        signer: Name as the job has it.
        caution: The NOTICE that stands by every load answer.
    """

    shell: Shell
    sheets: tuple[SheetLine, ...]
    issues: tuple[IssueLine, ...]
    changed: tuple[str, ...]
    barred: tuple[str, ...]
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
class BookLine:
    """An entry of the code book: kind, name, value, section, status, source, who compared it with the book."""

    kind: str
    name: str
    value: str
    section: str
    status: str
    source: str
    confirmed: str


@dataclass(frozen=True, slots=True)
class BookPage:
    """What the code book holds.

    Args:
        editions: Editions to choose from.
        edition: The one shown.
        query: What was searched for.
        lines: What was found.
        total: How many entries this edition holds.
    """

    editions: tuple[str, ...]
    edition: str
    query: str
    lines: tuple[BookLine, ...]
    total: int


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
class PastedRow:
    """A pasted line: its texts, and what is wrong with it or ""."""

    values: tuple[str, ...]
    say: str


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
