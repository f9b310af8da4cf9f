"""What the page of the one-line is given: every key said here and used by its template."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from deadfront.web.pieces import Shell


@dataclass(frozen=True, slots=True)
class MovedSymbol:
    """A symbol of the drawing.

    Args:
        id: Its name in the drawing.
        name: What it is called.
        right_pt: How far it was moved to the right [pt].
        down_pt: How far it was moved down [pt].
    """

    id: str
    name: str
    right_pt: str
    down_pt: str


@dataclass(frozen=True, slots=True)
class OneLinePage:
    """One-line diagram: what is joined to what; symbols are moved here by hand.

    Args:
        shell: What every page has.
        answer: The question, its answer, and what to find out.
        picture: The drawing, its symbols to be picked up.
        scale: How much smaller than full size it is drawn.
        symbols: Every symbol, to choose from.
        moved: Those that were moved by hand.
        over: What lies over something else since then, in words; "" for nothing.
        trouble: What was not done, "" for nothing.
        caution: The DANGER that stands where a drawing could be trusted too far.
    """

    shell: Shell
    answer: Markup
    picture: Markup
    scale: str
    symbols: tuple[MovedSymbol, ...]
    moved: tuple[MovedSymbol, ...]
    over: str
    trouble: str
    caution: Markup
