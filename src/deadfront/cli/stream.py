"""Output that never fails for a letter the terminal lacks: shapes and signs become plain ASCII there."""

from __future__ import annotations

import codecs
import os
import re
import sys
import unicodedata

PLAIN = {
    "●": "o", "■": "#", "◇": "?", "–": "-", "—": "-", "×": "x", "·": ".", "²": "2", "°": " deg ", "≤": "<=",
    "≥": ">=", "\N{REPLACEMENT CHARACTER}": "?",
    "…": "...", "’": "'", "“": '"', "”": '"', "→": "->", "µ": "u", "Ω": "ohm", "¿": "", "¡": "",
}  # fmt: skip


def plain(letter: str) -> str:
    """One letter in ASCII: its stand-in, else the letter without its accent, else a question mark."""
    if letter in PLAIN:
        return PLAIN[letter]
    bare = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode("ascii")
    return bare or "?"


def in_ascii(error: UnicodeError) -> tuple[str, int]:
    """What to print for letters that the output's encoding lacks."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(plain(letter) for letter in error.object[error.start : error.end]), error.end


def safe_streams() -> None:
    """Let standard output and error print anything."""
    codecs.register_error("deadfront.ascii", in_ascii)
    for stream in (sys.stdout, sys.stderr):
        change = getattr(stream, "reconfigure", None)
        if change is not None:
            change(errors="deadfront.ascii")


def speaks_unicode() -> bool:
    """True where standard output can print any letter."""
    encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    try:
        return codecs.lookup(encoding).name.startswith("utf")
    except LookupError:
        return False


_STEERS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
_BOLD = re.compile(r"(\x1b\[[01]m)")


def harmless(text: str) -> str:
    """Text without letters that steer a terminal: what a file holds never moves, colors or renames anything here.

    Our own bold is let through.
    """
    parts = _BOLD.split(text)
    return "".join(part if _BOLD.fullmatch(part) else _STEERS.sub("\N{REPLACEMENT CHARACTER}", part) for part in parts)


def put(line: str = "", end: str = "\n") -> None:
    """One line of text on standard output."""
    sys.stdout.write(harmless(line) + end)


def warn(line: str) -> None:
    """One line on standard error."""
    sys.stderr.write(harmless(line) + "\n")


def bold(words: str) -> str:
    """Words in bold where a terminal shows it and NO_COLOR does not forbid it."""
    plain_only = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" or not sys.stdout.isatty()
    return words if plain_only else f"\033[1m{words}\033[0m"
