"""Quality marks: every reading carries at least one, `VALID` where nothing speaks against it."""

from __future__ import annotations

from enum import IntFlag
from functools import lru_cache


class Mark(IntFlag):
    """What is known about one reading; kept as a bit mask per reading."""

    VALID = 1
    ESTIMATED = 2
    EDITED = 4
    GAP_FILLED = 8
    REPEATED_DAY = 16
    STUCK = 32
    RESET = 64
    CLOCK_JUMP = 128
    SUSPECT_UNIT = 256
    DUPLICATE = 512
    OVERLAPPED = 1024
    DST_AMBIGUOUS = 2048
    QUESTIONED = 4096
    NEGATIVE = 8192


# A demand that rests on one of these is told apart: the reading may not be what the house drew then.
DOUBTFUL = (
    Mark.ESTIMATED | Mark.EDITED | Mark.GAP_FILLED | Mark.REPEATED_DAY | Mark.STUCK | Mark.RESET | Mark.CLOCK_JUMP
    | Mark.SUSPECT_UNIT | Mark.DUPLICATE | Mark.OVERLAPPED | Mark.DST_AMBIGUOUS | Mark.QUESTIONED
)  # fmt: skip

# ESPI quality codes (NAESB REQ.21 usage schema). 7 edited, 8 and 9 estimated, 10 questionable, 11 derived,
# 12 projected; 0, 14, 17, 18, 19 are valid, raw, validated, verified and revenue.
ESPI_QUALITY = {
    7: Mark.EDITED, 8: Mark.ESTIMATED, 9: Mark.ESTIMATED, 10: Mark.QUESTIONED, 11: Mark.ESTIMATED,
    12: Mark.ESTIMATED,
}  # fmt: skip
ESPI_GOOD = frozenset({0, 14, 17, 18, 19})

_GOOD_WORDS = frozenset({
    "", "valid", "ok", "good", "actual", "a", "v", "0", "normal", "measured", "true", "validated", "verified", "raw",
    "revenue", "none", "-",
})  # fmt: skip
_WORDS = (
    ("est", Mark.ESTIMATED), ("edit", Mark.EDITED), ("manual", Mark.EDITED), ("fill", Mark.GAP_FILLED),
    ("interpol", Mark.GAP_FILLED), ("gap", Mark.GAP_FILLED), ("reset", Mark.RESET), ("substitut", Mark.ESTIMATED),
    ("proj", Mark.ESTIMATED), ("calc", Mark.ESTIMATED),
)  # fmt: skip


def mark_of_word(text: str) -> Mark:
    """The mark for a quality word of a file; a word we do not know is a reading that is questioned.

    Example:
        >>> mark_of_word("Estimated")
        <Mark.ESTIMATED: 2>
        >>> mark_of_word("actual")
        <Mark: 0>
    """
    word = text.strip().lower()
    if word in _GOOD_WORDS:
        return Mark(0)
    if word == "e":
        return Mark.ESTIMATED
    return next((mark for start, mark in _WORDS if start in word), Mark.QUESTIONED)


@lru_cache(maxsize=4096)
def names_of(mask: int) -> tuple[str, ...]:
    """The names of the marks in a mask, in order of their bits."""
    return tuple(mark.name.lower() for mark in Mark if mask & mark and mark.name)
