"""What the isolation page is given: every key said here and used by its template."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from deadfront.web.pieces import Shell


@dataclass(frozen=True, slots=True)
class ZoneLink:
    """A zone to choose.

    Args:
        id: Of the work step.
        href: Its address.
        name: What it is called.
        here: It is the one shown.
    """

    id: str
    href: str
    name: str
    here: bool


@dataclass(frozen=True, slots=True)
class TickLine:
    """A line to tick.

    Args:
        id: What its tick is kept by.
        say: What is done.
        stop: When to stop there, "" for never.
        done: When and by whom it was ticked, "" for not yet.
        waits: Facts it waits for, each with the way to its field.
    """

    id: str
    say: str
    stop: str
    done: str
    waits: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class TickPart:
    """Lines under one heading.

    Args:
        title: The heading.
        hint: What to know of it, "" for nothing.
        lines: The lines.
    """

    title: str
    hint: str
    lines: tuple[TickLine, ...]


@dataclass(frozen=True, slots=True)
class IsolationPage:
    """Isolation: how is the zone made dead?

    Args:
        shell: What every page has.
        answer: The question and its answer.
        caution: What stands where the hazard is.
        zones: The steps of the work.
        choices: Things of the house that a zone can be marked by, as (group, ((id, name), ...)).
        marked: Id of the zone that is shown.
        notes: What to know about the plan.
        facts: What is not on file yet, how to find it, and the way to its field.
        parts: The procedure, what stays live, the tests, the way back, each with lines to tick.
        tables: Locks and stored energy.
        temporary: Power meanwhile.
        kept: Ticks are kept in the job; else on this device alone.
        to_sheet: Address of the paper, "" for none.
    """

    shell: Shell
    answer: Markup
    caution: Markup
    zones: tuple[ZoneLink, ...]
    choices: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    marked: str
    notes: tuple[str, ...]
    facts: tuple[tuple[str, str, str], ...]
    parts: tuple[TickPart, ...]
    tables: Markup
    temporary: tuple[str, ...]
    kept: bool
    to_sheet: str
