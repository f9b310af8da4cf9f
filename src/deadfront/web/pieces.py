"""The pieces that pages are made of: stages, slips, fields, lines of tables."""

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
        who: Whoever is at the page, for the history.
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
    who: str
    before: Stage
    after: Stage


@dataclass(frozen=True, slots=True)
class OriginLine:
    """Where a fact comes from: kind ("" for not said), who, when, the kinds there are, all of it in a few words."""

    kind: str
    who: str
    on: str
    options: tuple[tuple[str, str], ...]
    told: str


@dataclass(frozen=True, slots=True)
class Field:
    """One fact to enter.

    Args:
        path: Where it belongs, and its address on the page.
        label: What it is called.
        value: As it stands, "" for not known.
        options: Allowed values and their words; none: it is typed.
        like: An example of what may be typed.
        origin: Where it comes from; None where that is not asked.
        many: Several of the allowed values may hold together; the value names them between commas.
        help: How it is found out.
    """

    path: str
    label: str
    value: str
    options: tuple[tuple[str, str], ...] = ()
    like: str = ""
    origin: OriginLine | None = None
    many: bool = False
    help: str = ""

    @property
    def chosen(self) -> tuple[str, ...]:
        """The values that hold, of a fact that takes several."""
        return tuple(part.strip() for part in self.value.split(",") if part.strip()) if self.many else ()

    @property
    def told(self) -> str:
        """The value as it is read: the words of a choice, not its key."""
        words = dict(self.options)
        return (
            ", ".join(words.get(each, each) for each in self.chosen) if self.many else words.get(self.value, self.value)
        )


@dataclass(frozen=True, slots=True)
class ControlLine:
    """A load that an energy management system may control: its id, name, whether it does."""

    load: str
    name: str
    held: bool


@dataclass(frozen=True, slots=True)
class SystemLine:
    """An energy management system: id, name, found or new, its facts, the loads it may control."""

    ident: str
    name: str
    work: str
    facts: tuple[Field, ...]
    controls: tuple[ControlLine, ...]


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step of the work: id, its name, whether it may go up or down."""

    ident: str
    say: Field
    up: bool
    down: bool


@dataclass(frozen=True, slots=True)
class AmendmentLine:
    """A local amendment in force: its name and what it changes, in words."""

    name: str
    changes: tuple[str, ...]


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
    """A line of an entry table: the ids it has or will have, its texts, whether it is there, what the work does.

    `doing` says the same as its choice does: with several steps, in which of them.
    """

    key: str
    ids: Mapping[str, str]
    values: Mapping[str, str]
    there: bool
    work: str = "E"
    doing: str = "E"
    anchors: Mapping[str, str] = field(default_factory=dict)

    def shown(self, column: Column) -> str:
        """A text of the line as it is read: the words of a choice, not its key."""
        value = self.values.get(column.name, "")
        return dict(column.options).get(value, value) if value else ""


@dataclass(frozen=True, slots=True)
class EntryTable:
    """A list that is typed: its key, columns, lines, and the question whether these are all."""

    key: str
    heading: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    complete: Field | None
    pasted: bool = False
    works: tuple[tuple[str, str], ...] = ()


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
class ShareRow:
    """How much one load matters: its name, amperes it adds, and how long its bar is in hundredths."""

    name: str
    adds: str
    hundredths: int


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
class Asked:
    """A question of the first look: key, words, kind, unit, options, what was answered."""

    key: str
    say: str
    kind: str
    unit: str
    options: tuple[tuple[str, str], ...]
    answer: tuple[str, ...]


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
class SideRow:
    """A fact two people changed: path, what it is called, as it was, mine, theirs, whether both changed it."""

    path: str
    called: str
    base: str
    mine: str
    theirs: str
    clash: bool


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
class PastedRow:
    """A pasted line: its texts, and what is wrong with it or ""."""

    values: tuple[str, ...]
    say: str
