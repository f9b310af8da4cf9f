"""The pieces of the circuits pages: lines of the schedule, questions of the site list, things to add and open."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from deadfront.web.pieces import Field


@dataclass(frozen=True, slots=True)
class RunCell:
    """A cell of a line: the head of its column, what it says, whether it is a number."""

    head: str
    say: Markup
    number: bool


@dataclass(frozen=True, slots=True)
class RunLine:
    """A run of conductors: its id, where it opens, its spaces and name, its cells, its verdict, all in brief."""

    of: str
    href: str
    space: str
    name: str
    cells: tuple[RunCell, ...]
    stands: Markup
    brief: str


@dataclass(frozen=True, slots=True)
class RunTable:
    """The runs of one kind: service, feeders, branch circuits."""

    kind: str
    heading: str
    heads: tuple[str, ...]
    lines: tuple[RunLine, ...]


@dataclass(frozen=True, slots=True)
class CheckLine:
    """A check: its verdict, words, what to do, the facts it waits for with their fields, section, help, whether met."""

    stands: Markup
    say: str
    more: tuple[str, ...]
    waits: tuple[tuple[str, str], ...]
    section: str
    help: str
    met: bool


@dataclass(frozen=True, slots=True)
class HazardLine:
    """A hazard found: where it opens, what it is, where it is, its evidence, its verdict, its photo or ""."""

    href: str
    name: str
    where: str
    evidence: str
    stands: Markup
    photo: str


@dataclass(frozen=True, slots=True)
class ThingLine:
    """A thing of a list: where it opens, what it is called, found or new, what is told of it."""

    href: str
    name: str
    work: str
    told: str = ""


@dataclass(frozen=True, slots=True)
class ThingList:
    """A list of things: key, heading, its things, kinds to choose from for one more, whether these are all."""

    key: str
    heading: str
    things: tuple[ThingLine, ...]
    kinds: tuple[tuple[str, str], ...]
    works: tuple[tuple[str, str], ...]
    complete: Field | None


@dataclass(frozen=True, slots=True)
class SiteAsked:
    """A question of the site list: where its answer goes, its words, how to look, section, answer, verdict, help."""

    path: str
    say: str
    how: str
    section: str
    answer: str
    stands: Markup
    help: str


@dataclass(frozen=True, slots=True)
class SitePlace:
    """The questions about one thing: its key, its name, how many are open."""

    key: str
    name: str
    open: int
    asked: tuple[SiteAsked, ...]
