"""What the pages Install and Commission are given: every key said here and used by its template."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from deadfront.web.circuit_pieces import ThingList
from deadfront.web.pieces import Shell
from deadfront.web.record_pieces import Group, Said, SequenceLine, Tool, Walk, WorkLine


@dataclass(frozen=True, slots=True)
class CommissionPage:
    """Commission: may the next step be taken, and what is still to be read?

    Args:
        shell: What every page has.
        answer: The question and its answer.
        sequence: The energizing sequence, in order.
        tools: The instruments in hand, by kind.
        groups: Tests as left, then those as found.
        corrections: Items of the inspector's notice, the last one blank.
        instruments: The instruments, to add to and to open.
        walk: The walk along the current transformers; None where no channel is listed.
        clash: Mine and theirs side by side, where someone saved first; else nothing.
    """

    shell: Shell
    answer: Markup
    sequence: tuple[SequenceLine, ...]
    tools: tuple[Tool, ...]
    groups: tuple[Group, ...]
    corrections: Group
    instruments: ThingList
    walk: Walk | None
    clash: Markup = Markup("")


@dataclass(frozen=True, slots=True)
class InstallPage:
    """Install: what is done in which order, what was found, what was tightened, how it was left?

    Args:
        shell: What every page has.
        answer: The question and its answer.
        steps: The steps of the work.
        tools: The instruments in hand, by kind.
        found: As found, before anything is touched.
        torques: Terminals, by thing.
        left: Settings as left.
        caution: The DANGER that stands where the cover comes off.
    """

    shell: Shell
    answer: Markup
    steps: tuple[WorkLine, ...]
    tools: tuple[Tool, ...]
    found: Group
    torques: tuple[Group, ...]
    left: Group
    caution: Markup


@dataclass(frozen=True, slots=True)
class SaidPart:
    """The verdict of one entry.

    Args:
        said: What it comes to.
    """

    said: Said
