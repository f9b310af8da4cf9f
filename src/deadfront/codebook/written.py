"""Careful reading of files people write: amendments and confirmations. Bad input gets JobUnreadable, nothing else."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation

from deadfront.errors import JobUnreadable

MAX_CHARACTERS = 200_000
MAX_WORDS = 2_000
MAX_NUMBER = Decimal(10) ** 9


def read_toml(text: str, file: str) -> Mapping[str, object]:
    """The top table of a TOML text.

    Raises:
        JobUnreadable: too long, or not TOML; says which line.
    """
    if len(text) > MAX_CHARACTERS:
        raise JobUnreadable("codebook.file_too_long", file=file, found=len(text), allowed=MAX_CHARACTERS)
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except (ValueError, ArithmeticError, RecursionError) as error:
        raise JobUnreadable("codebook.file_not_toml", file=file, found=str(error)) from error


def bad(file: str, where: str, found: object, allowed: object) -> JobUnreadable:
    """The error that says what stands where, and what may stand there."""
    return JobUnreadable("codebook.file_entry", file=file, where=where, found=shown(found), allowed=allowed)


def shown(found: object) -> str:
    """What was found, cut short for a message."""
    if found is None:
        return ""
    try:
        text = str(found)
    except (ValueError, RecursionError):  # a number with thousands of digits, or endless nesting
        return "..."
    return text if len(text) <= 80 else text[:80] + "..."


def table_at(written: object, file: str, where: str, keys: tuple[str, ...]) -> Mapping[str, object]:
    """A table that holds none but the allowed keys."""
    if not isinstance(written, Mapping):
        raise bad(file, where, written, keys)
    for key in written:
        if key not in keys:
            raise bad(file, where, key, keys)
    return written


def list_at(written: object, file: str, where: str) -> list[object]:
    """A list; a missing one counts as empty."""
    if written is None:
        return []
    if not isinstance(written, list | tuple):
        raise bad(file, where, written, "list")
    return list(written)


def words_at(written: object, file: str, where: str, *, empty: bool = False) -> str:
    """A text of sensible length, without control characters."""
    if written is None and empty:
        return ""
    if not isinstance(written, str) or len(written) > MAX_WORDS or not (empty or written.strip()):
        raise bad(file, where, written, "text")
    if any((letter < " " and letter not in "\n\t") or "\ud800" <= letter <= "\udfff" for letter in written):
        raise bad(file, where, "control character", "text")
    return written.strip()


def one_of(written: object, file: str, where: str, allowed: tuple[str, ...]) -> str:
    """One of the allowed words."""
    if not isinstance(written, str) or written not in allowed:
        raise bad(file, where, written, allowed)
    return written


def figure_at(written: object, like: Decimal | bool | str, file: str, where: str) -> Decimal | bool | str:
    """A figure of the same kind as ours: a number of zero or more, yes/no, or a word."""
    if isinstance(like, bool):
        if not isinstance(written, bool):
            raise bad(file, where, written, "true, false")
        return written
    if isinstance(like, str):
        return words_at(written, file, where)
    if isinstance(written, float):  # JSON carries no exact decimals: take the figure as it was typed
        written = float.__repr__(written)
    if isinstance(written, bool) or not isinstance(written, int | str | Decimal):
        raise bad(file, where, written, "number")
    return _number(written, file, where)


def _number(written: int | str | Decimal, file: str, where: str) -> Decimal:
    allowed = f"0 to {MAX_NUMBER}, 6 decimals"
    try:
        number = Decimal(written if not isinstance(written, str) else written[:40])
    except InvalidOperation as error:
        raise bad(file, where, written, allowed) from error
    exponent = number.as_tuple().exponent
    if not isinstance(exponent, int) or not -6 <= exponent <= 9 or not 0 <= number <= MAX_NUMBER:
        raise bad(file, where, written, allowed)
    number = abs(number)
    return Decimal(int(number)) if number == int(number) else number.normalize()
