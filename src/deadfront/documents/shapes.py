"""The drawn signs: verdict shapes and the safety alert triangle, as small SVG pictures in the color of the text."""

from __future__ import annotations

from deadfront.worksheet.check import Outcome

CLASS_OF: dict[Outcome, str] = {
    Outcome.MEETS: "meets",
    Outcome.FAILS: "fails",
    Outcome.CANNOT_TELL: "tell",
    Outcome.NOT_APPLICABLE: "na",
}
_DRAWN: dict[Outcome, str] = {
    Outcome.MEETS: '<circle cx="6" cy="6" r="4.8" fill="currentColor"/>',
    Outcome.FAILS: '<rect x="1.5" y="1.5" width="9" height="9" fill="currentColor"/>',
    Outcome.CANNOT_TELL: '<path d="M6 1 11 6 6 11 1 6Z" fill="none" stroke="currentColor" stroke-width="1.6"/>',
    Outcome.NOT_APPLICABLE: '<path d="M2 6H10" fill="none" stroke="currentColor" stroke-width="1.8"/>',
}


def verdict_shape(outcome: Outcome) -> str:
    """A disk meets, a square does not meet, a hollow diamond cannot tell, a dash does not apply."""
    return f'<svg class="shape" viewBox="0 0 12 12" aria-hidden="true">{_DRAWN[outcome]}</svg>'


def alert_triangle() -> str:
    """The safety alert symbol that stands before DANGER and WARNING (ANSI Z535)."""
    return (
        '<svg class="alert" viewBox="0 0 24 22" aria-hidden="true">'
        '<path d="M12 1 23 21H1Z" fill="currentColor"/>'
        '<path class="mark" d="M12 8v6M12 16.2v2.2" fill="none" stroke-width="2.4"/></svg>'
    )
