"""Pieces of the pages Install and Commission: entries to type, their verdicts, the sequence, the torque log."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True, slots=True)
class EntryField:
    """One field of an entry.

    Args:
        name: "readings.l1_n", "who".
        label: What is read or said, with its unit.
        value: As it stands.
        kind: "number", "negative", "repeats", "yes", "choice", "text", "long", "day", "time".
        options: Values and words of a choice.
        over: Whether "beyond the range" may be read: OL.
        refused: What is wrong with what stands there, "" for nothing.
        optional: No verdict waits for it.
        reading: Whether it is a reading; else who, when, why not.
    """

    name: str
    label: str
    value: str
    kind: str
    options: tuple[tuple[str, str], ...] = ()
    over: bool = False
    refused: str = ""
    optional: bool = False
    reading: bool = True

    @property
    def told(self) -> str:
        """The value as it is read: the words of a choice, not its key."""
        return dict(self.options).get(self.value, self.value)

    @property
    def allowed(self) -> bool:
        """Whether what stands there is one of the choices."""
        return self.value in dict(self.options)


@dataclass(frozen=True, slots=True)
class Said:
    """What an entry comes to.

    Args:
        outcome: "meets", "fails", "tell", "na".
        say: The verdict with its shape.
        limit: The limit with its origin, "" for none.
        notes: Doubts on instrument, day, photo; what to do where it does not meet.
    """

    outcome: str
    say: Markup
    limit: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TestCard:
    """One test of one thing, or one terminal, to be typed.

    Args:
        of: The list it stands in: "records", "torques", "corrections".
        id: Of its entry, there or still to be made.
        anchor: Its place on the page.
        key: What it is an entry of, for the program.
        title: The test.
        where: The thing.
        method: How it is done.
        cautions: What stands where the hazard is.
        first: Tests that come before it and are not done.
        fields: What is read or typed, in order.
        who: Who, when, with what, why not: folded away once they are filled in.
        said: What it comes to.
        photo: Where its photo shows; "" where it has none.
        takes_photo: Whether a photo belongs to it.
        again: Where one more of the same begins, "" where this one is still open.
        more: It is one more beside those that are there.
        help: Its help page.
        tools: Kinds of instruments that show this.
        there: Whether its entry is there already.
    """

    __test__ = False

    of: str
    id: str
    anchor: str
    key: tuple[tuple[str, str], ...]
    title: str
    where: str
    method: str
    cautions: Markup
    first: tuple[str, ...]
    fields: tuple[EntryField, ...]
    who: tuple[EntryField, ...]
    said: Said
    photo: str = ""
    takes_photo: bool = False
    again: str = ""
    more: bool = False
    help: str = ""
    tools: str = ""
    there: bool = False


@dataclass(frozen=True, slots=True)
class SequenceLine:
    """One step of the energizing sequence: its state, its words, when to stop, the tests it stands on."""

    state: str
    say: str
    told: str
    stop: str
    tests: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Cards under one heading: its anchor, its words, how many are open, whether it is folded away, how many wrong."""

    key: str
    heading: str
    cards: tuple[TestCard, ...]
    open: int
    folded: bool = False
    wrong: int = 0


@dataclass(frozen=True, slots=True)
class Tool:
    """The instrument taken for a kind: the kind, its words, the instruments there are, the one taken."""

    kind: str
    name: str
    options: tuple[tuple[str, str], ...]
    chosen: str


@dataclass(frozen=True, slots=True)
class WorkLine:
    """A step of the work on site: its words, what it adds and takes out, the way to its isolation."""

    say: str
    things: tuple[tuple[str, str, str], ...]
    isolate: str


@dataclass(frozen=True, slots=True)
class ReadLine:
    """One line of the walk along the current transformers: its channel, its load, what is read, what it comes to.

    Where the plan has no conductor for the channel, `circuits` are those whose load may be switched instead.
    """

    id: str
    anchor: str
    channel: str
    name: str
    load: str
    circuit: str
    beside: str
    beside_name: str
    values: tuple[tuple[str, str], ...]
    said: Said
    there: bool
    circuits: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class OfferLine:
    """A channel found otherwise than planned: its place on the page, what tells it again, its words."""

    anchor: str
    keep: str
    say: str


@dataclass(frozen=True, slots=True)
class Offers:
    """What of a walk can be kept in the directory, what tells all of it again, the revision it was read from."""

    lines: tuple[OfferLine, ...]
    all: str
    base: int


@dataclass(frozen=True, slots=True)
class Walk:
    """The walk: its lines, the load proposed, how many channels are proved right, wrong, open, its cautions, offers."""

    lines: tuple[ReadLine, ...]
    watts: str
    told: str
    caution: Markup
    offers: Offers
