"""What the panel pages are given: one frozen class a page or part, every key said here and used by its template."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from deadfront.web.panel_pieces import Draft, PanelLink, SearchView, TimeTable
from deadfront.web.pieces import Shell


@dataclass(frozen=True, slots=True)
class PanelPage:
    """Panel: does every breaker stand where it may, and do the legs carry alike?

    Args:
        shell: What every page has.
        answer: The question and its answer for the panel as it stands.
        panels: All panels of the house, to choose from.
        draft: The panel as it stands or as it is tried, judged; None where it cannot be laid out yet.
        waits: What stands in the way of laying it out, with the way out.
        told: What was assumed.
        work: What each step of the work does in the panel: its name, its acts in the order they are worked.
        times: The times at which the legs are held against each other.
        search: The search for even legs.
        trouble: What was not done, "" for nothing.
        caution: The DANGER that stands where the cover comes off.
    """

    shell: Shell
    answer: Markup
    panels: tuple[PanelLink, ...]
    draft: Draft | None
    waits: tuple[tuple[str, str], ...]
    told: tuple[str, ...]
    work: tuple[tuple[str, tuple[str, ...]], ...]
    times: TimeTable
    search: SearchView | None
    trouble: str
    caution: Markup


@dataclass(frozen=True, slots=True)
class PanelDraftPart:
    """A layout that is tried, judged: what a screen shows while a breaker is carried.

    Args:
        shell: What every page has.
        draft: The layout.
    """

    shell: Shell
    draft: Draft


@dataclass(frozen=True, slots=True)
class PanelRunPart:
    """How far a search is.

    Args:
        search: The search.
    """

    search: SearchView
