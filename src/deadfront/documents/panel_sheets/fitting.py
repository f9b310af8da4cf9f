"""Words made to fit a box by their measured width, never past its edge."""

from __future__ import annotations

from dataclasses import dataclass
from unicodedata import category

from deadfront.documents import svg

DOTS = "..."
LINE = 1.12  # from line to line, in parts of the type size
TAGS = ("(E)", "(N)", "(R)", "(RL)")
LEAST_SIZE = 0.84  # of the type size: smaller is not read at arm's length


@dataclass(frozen=True, slots=True)
class Fitted:
    """Words made to fit: their lines, their size, whether some were cut."""

    lines: tuple[str, ...]
    size: float
    cut: bool = False


def clean(words: str) -> str:
    """Words on one line, without characters that no drawing may hold."""
    kept = "".join(char for char in words if char.isspace() or category(char) not in ("Cc", "Cf", "Cs", "Co", "Cn"))
    return " ".join(kept.split())


def fitted(words: str, width: float, size: float, lines: int = 1, height: float | None = None) -> Fitted:
    """Words in a width: as they are, on several lines, a little smaller, at last cut with dots.

    A tag at the end, such as "(N)", is never cut.

    Args:
        lines: Most lines; `height`: no more than go into it either.
    """
    words = clean(words)
    for scale in (1.0, 0.92, LEAST_SIZE):
        broken = broken_at(words, width, size * scale)
        if len(broken) <= _most(lines, size * scale, height) and all(
            svg.text_width(line, size * scale) <= width for line in broken
        ):
            return Fitted(broken, size * scale)
    small = size * LEAST_SIZE
    lines = _most(lines, small, height)
    head, tag = _tag_apart(words)
    kept = broken_at(head, width, small)[: lines - 1]
    if any(svg.text_width(line, small) > width for line in kept):
        kept = ()
    rest = head[len(" ".join(kept)) :].strip()
    return Fitted((*kept, _cut(rest, tag, width, small)), small, True)


def _most(lines: int, size: float, height: float | None) -> int:
    """How many lines of a size go into a height; one always does."""
    return lines if height is None else max(1, min(lines, int(height / (size * LINE))))


def broken_at(words: str, width: float, size: float) -> tuple[str, ...]:
    """Words broken into lines at spaces; a word wider than a line stands alone."""
    lines: list[str] = []
    for word in words.split():
        if lines and svg.text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return tuple(lines) or ("",)


def _tag_apart(words: str) -> tuple[str, str]:
    """The words before a tag at their end, and the tag."""
    head, space, last = words.rpartition(" ")
    return (head, f" {last}") if space and last in TAGS else (words, "")


def _cut(words: str, tag: str, width: float, size: float) -> str:
    """As much of the words as fits, with dots and the tag; nothing where not even these fit."""
    kept = words
    while kept and svg.text_width(kept.rstrip(" ,/") + DOTS + tag, size) > width:
        kept = kept[:-1]
    told = kept.rstrip(" ,/") + DOTS + tag
    return told if svg.text_width(told, size) <= width else ""
