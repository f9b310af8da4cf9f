"""What the sources page is given: every key said here and used by its template."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from deadfront.web.circuit_pieces import CheckLine, ThingList
from deadfront.web.pieces import Shell


@dataclass(frozen=True, slots=True)
class SourcesPage:
    """Sources: does every source join as the code asks, in every state?

    Args:
        shell: What every page has.
        answer: The question and its answer.
        cautions: What stands where the hazard is.
        sections: Paths, buses by option, strings, neutral by state, capacity, truth tables.
        checks: Checks with what they wait for and the way to each field.
        picture: The one-line diagram, "" where there is no source.
        worked: The figures line by line.
        lists: Sources, transfer equipment, disconnects, signals, to add to and to open.
    """

    shell: Shell
    answer: Markup
    cautions: Markup
    sections: Markup
    checks: tuple[CheckLine, ...]
    picture: Markup
    worked: Markup
    lists: tuple[ThingList, ...]
