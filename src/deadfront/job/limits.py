"""How much a job file may hold: checked before anything is parsed, so that no file can stall or crash the reader."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from deadfront.errors import JobUnreadable

MAX_CHARACTERS = 2_000_000
MAX_BLOCKS = 20_000
MAX_THINGS = 5_000
MAX_DEPTH = 12
MAX_NUMBER = Decimal(10) ** 12
MAX_EXPONENT = 40  # a number above this many digits is refused before anything is computed with it
MAX_BITS = 160
MAX_DIGITS = 24

_KEY = r"""(?:"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+'|[\w-]++)"""
_TOKEN = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:"""|\Z)'  # long text
    r"|'''(?:[^']|'(?!''))*+(?:'''|\Z)"
    r"|(?P<chain>" + _KEY + r"(?:[ \t]*+\.[ \t]*+" + _KEY + r")*+)"
    r"|#[^\n]*+"
    r"|(?P<open>[\[{])|(?P<close>[\]}])",
    re.S,
)
_PART = re.compile(_KEY, re.S)


def too_deep(text: str) -> bool:
    """Whether brackets or dotted keys nest deeper than allowed; text in quotes and comments does not count."""
    depth = 0
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup
        if kind == "open":
            depth += 1
            if depth > MAX_DEPTH:
                return True
        elif kind == "close":
            depth = max(0, depth - 1)
        elif kind == "chain" and match[0].count(".") >= MAX_DEPTH and len(_PART.findall(match[0])) > MAX_DEPTH:
            return True
    return False


def check_text(text: str, file: str) -> None:
    """Refuse a text too large to be a job file.

    Raises:
        JobUnreadable: too many characters or table headers.
    """
    if len(text) > MAX_CHARACTERS:
        raise JobUnreadable("job.read.too_large", file=file, found=len(text), allowed=MAX_CHARACTERS)
    headers = text.count("\n[") + text.startswith("[")
    if headers > MAX_BLOCKS:
        raise JobUnreadable("job.read.too_many_blocks", file=file, found=headers, allowed=MAX_BLOCKS)


def decoded(data: str | bytes, file: str) -> str:
    """The text of a job file given as bytes or text, without a byte order mark.

    Raises:
        JobUnreadable: not UTF-8.
    """
    if isinstance(data, str):
        return data.removeprefix("\ufeff")
    try:
        return data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise JobUnreadable("job.read.not_utf8", file=file, line=line) from error


def unreasonable(value: Any, field: str = "") -> Iterator[tuple[str, Any, str]]:
    """Numbers beyond reason and control characters anywhere in a value: field, what was found, which kind."""
    if isinstance(value, dict):
        for key, inner in value.items():
            where = f"{field}.{key}" if field else str(key)
            if not _plain(str(key)):
                yield where, key, "characters"
            yield from unreasonable(inner, where)
    elif isinstance(value, list):
        for inner in value:
            yield from unreasonable(inner, field)
    elif isinstance(value, str):
        if not _plain(value):
            yield field, value, "characters"
    elif isinstance(value, Decimal):
        digits = value.as_tuple()
        too_fine = value.is_finite() and (len(digits.digits) > MAX_DIGITS or int(digits.exponent) < -MAX_DIGITS)
        too_large = value.is_finite() and value.adjusted() > MAX_EXPONENT  # before abs(), which overflows
        if not value.is_finite() or too_large or too_fine or abs(value) > MAX_NUMBER:
            yield field, value, "number"
    elif isinstance(value, int) and (value.bit_length() > MAX_BITS or abs(value) > MAX_NUMBER):
        yield field, "-" * (value < 0) + f"about 2^{value.bit_length()}", "number"


CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069]")


def _plain(text: str) -> bool:
    return CONTROL.search(text) is None
