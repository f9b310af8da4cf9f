"""The pieces of the panel page: a layout tried, the legs, the times, the points of the curve."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True, slots=True)
class PanelLink:
    """A panel to choose: its address, its name, whether it is the one shown."""

    href: str
    name: str
    here: bool


@dataclass(frozen=True, slots=True)
class BreakerChoice:
    """A breaker to put elsewhere: id, name with its spaces, its spaces as typed, how many rows it is high."""

    ident: str
    say: str
    spaces: str
    rows: str


@dataclass(frozen=True, slots=True)
class LegLine:
    """The legs at one time: its name, current of each leg, the difference, the neutral; counted where unknown."""

    name: str
    legs: tuple[str, ...]
    apart: str
    neutral: str


@dataclass(frozen=True, slots=True)
class Draft:
    """A layout of a panel, judged.

    Args:
        panel: Id of the panel.
        puts: The new places as they travel in an address: "b-0xe=5,7"; "" for the panel as it stands.
        say: The judgment in one sentence, with its shape.
        wrong: Everything that is wrong with it.
        even: How even the legs are, with its shape.
        apart: How far the legs are apart at every time, in words.
        legs: The legs at every time; `leg_names`: their names.
        ruler: The differences against 10 percent of the main, to scale; "" where the main is not known.
        picture: The elevation, to pick breakers up in.
        waiting: Breakers that have no space yet.
        breakers: Breakers that may be put elsewhere.
        steps: The moves in the order they are worked.
        changed: How many breakers stand elsewhere.
        may_be_kept: It can be kept.
        point: The point of the curve it is, "" for none.
        trouble: What was typed and not understood, "" for nothing.
        typed: What was typed.
        typed_for: The breaker it was typed for.
    """

    panel: str
    puts: str
    say: Markup
    wrong: tuple[str, ...]
    even: Markup
    apart: tuple[str, ...]
    legs: tuple[LegLine, ...]
    leg_names: tuple[str, ...]
    ruler: Markup
    picture: Markup
    waiting: tuple[BreakerChoice, ...]
    breakers: tuple[BreakerChoice, ...]
    steps: tuple[str, ...]
    changed: int
    may_be_kept: bool
    point: str
    trouble: str
    typed: str
    typed_for: str


@dataclass(frozen=True, slots=True)
class TimeColumn:
    """A time at which the legs are compared: its place in the list, name, whether all else is off."""

    index: str
    name: str
    others: str


@dataclass(frozen=True, slots=True)
class TimeRow:
    """What flows at each time: the name of its fields, its label, what it is as loaded, its texts by time."""

    key: str
    label: str
    loaded: str
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class TimeTable:
    """The times: panel, columns, shares of kinds of loads, circuits, whether one more fits, words offered."""

    panel: str
    columns: tuple[TimeColumn, ...]
    kinds: tuple[TimeRow, ...]
    circuits: tuple[TimeRow, ...]
    more: bool
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PointLine:
    """A point of the curve: limit, moves, difference then, its proof, where it leads, whether it is looked at."""

    limit: str
    moves: str
    apart: str
    status: str
    href: str
    here: bool


@dataclass(frozen=True, slots=True)
class SearchView:
    """The search for even legs.

    Args:
        panel: Id of the panel.
        can: The solvers are installed; `install`: how, where they are not.
        busy: A search is underway; `percent`: how far; `say`: in words.
        trouble: Why the last one failed, "" for nothing.
        stale: Why what was found does not count any more, "" where it does.
        picture: The curve; "" where there is none.
        points: Its points in a table.
        clash: The rules that clash, under a sentence that says where.
        clash_head: That sentence.
        groups: What it costs to keep groups near each other, with where each leads.
        when: When it was found, and whether it was stopped.
    """

    panel: str
    can: bool
    install: str
    busy: bool
    percent: int
    say: str
    trouble: str
    stale: str
    picture: Markup
    points: tuple[PointLine, ...]
    clash: tuple[str, ...]
    clash_head: str
    groups: tuple[PointLine, ...]
    when: str
