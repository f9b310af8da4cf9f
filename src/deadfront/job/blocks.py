"""A job file cut at its table headers: every block keeps its exact text, its line and its place in the whole."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

Place = tuple[str | int, ...]

MOST_PARTS = 16
_BARE = r"[A-Za-z0-9_-]+"
_STRICT = re.compile(rf"[ \t]*(\[\[?)[ \t]*({_BARE}(?:[ \t]*\.[ \t]*{_BARE})*)[ \t]*(\]\]?)[ \t]*(?:#[^\n]*)?\r?$")
_LOOSE = re.compile(r"(\[\[?)[ \t]*([A-Za-z][^\]\n#=]*)")
_SKIP = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:"""|\Z)'
    r"|'''(?:[^']|'(?!''))*+(?:'''|\Z)"
    r'|"(?:[^"\\\n]|\\.)*+"?'
    r"|'[^'\n]*+'?"
    r"|#[^\n]*+"
    r"|(?P<open>[\[{])|(?P<close>[\]}])|(?P<line>\n)",
    re.S,
)


_BRACKET = re.compile(r"[\[\]{}]")


@dataclass(frozen=True, slots=True)
class Block:
    """A piece of a job file from one table header to the next; the first may have no header.

    Args:
        text: The piece, byte for byte.
        line: Line of the file on which it starts, from 1.
        name: The header's parts; empty before the first header.
        array: Written [[so]].
        place: Where it stands in the whole: ("work", 1, "add", "loads", 0).
    """

    text: str
    line: int
    name: tuple[str, ...]
    array: bool
    place: Place


class Element(dict[str, Any]):
    """One thing of the house as found, as its block says it; what it was understood as is kept with it.

    The same block of two revisions is the same Element: nobody may change it.
    """

    __slots__ = ("understood",)
    understood: Any


def _starts_exact(text: str) -> list[int]:
    """Where headers start in a text that is whole: outside quotes and brackets."""
    if '"""' not in text and "'''" not in text:
        return _starts_by_line(text)
    starts = []
    depth, fresh = 0, 0
    for match in _SKIP.finditer(text):
        kind = match.lastgroup
        if kind == "open":
            if depth == 0 and match.start() >= fresh and text[fresh : match.start()].strip(" \t") == "":
                starts.append(fresh)
            depth += 1
        elif kind == "close":
            depth = max(0, depth - 1)
        elif kind == "line":
            fresh = match.end()
    return starts


def _starts_by_line(text: str) -> list[int]:
    """The same where no text goes over several lines: only lines with a bracket are looked at."""
    starts = []
    depth = at = 0
    while bracket := _BRACKET.search(text, at):
        start, end = text.rfind("\n", 0, bracket.start()) + 1, text.find("\n", bracket.start())
        at = end + 1 if end >= 0 else len(text)
        line = text[start:at]
        if depth == 0 and line.lstrip(" \t").startswith("["):
            starts.append(start)
            if _STRICT.match(line):
                continue
        for match in _SKIP.finditer(line):
            if match.lastgroup == "open":
                depth += 1
            elif match.lastgroup == "close":
                depth = max(0, depth - 1)
    return starts


def _starts_loose(text: str) -> list[int]:
    """Where headers seem to start in a damaged text: a line that opens like one in column 0, or is one, indented."""
    starts, at = [], 0
    for line in text.split("\n"):
        if line.startswith("["):
            if _LOOSE.match(line):
                starts.append(at)
        elif line[:1] in (" ", "\t"):
            header = _STRICT.match(line)
            if header and header[2][0].isalpha():
                starts.append(at)
        at += len(line) + 1
    return starts


def _header(line: str) -> tuple[tuple[str, ...], bool]:
    """Name of a header and whether it is [[so]]; what can be told of it where it is damaged."""
    if not line.lstrip(" \t").startswith("["):
        return (), False
    found = _STRICT.match(line)
    if not found:
        quoted = _quoted(line)
        if quoted:
            return quoted, line.lstrip(" \t").startswith("[[")
        found = _LOOSE.match(line.lstrip(" \t"))
    if not found:
        return (), False
    parts = found[2].split(".", MOST_PARTS)[:MOST_PARTS]  # a deeper one is refused when its block is parsed
    return tuple(part.strip(" \t\r\"'") for part in parts), found[1] == "[["


def _quoted(line: str) -> tuple[str, ...]:
    """Name of a header that quotes its parts; empty if it is none."""
    if len(line) > 1000:
        return ()
    try:
        value: Any = tomllib.loads(line)
    except (ValueError, RecursionError):
        return ()
    parts: list[str] = []
    while isinstance(value, (dict, list)) and value:
        if isinstance(value, list):
            value = value[0]
        else:
            key, value = next(iter(value.items()))
            parts.append(key)
    return tuple(parts[:MOST_PARTS])


def cut(text: str, *, whole: bool) -> list[Block]:
    """The blocks of a job file in order; joined they are the text again.

    Args:
        text: The job file.
        whole: It parses as it stands; headers inside long text and arrays are then told from real ones.
    """
    return list(_cut(text, whole))


@lru_cache(maxsize=8)
def _cut(text: str, whole: bool) -> tuple[Block, ...]:
    starts = _starts_exact(text) if whole else _starts_loose(text)
    headed = set(starts)
    bounds = sorted({0, *starts, len(text)})
    blocks: list[Block] = []
    counts: dict[Place, int] = {}
    line = 1
    for start, end in zip(bounds, bounds[1:], strict=False):
        piece = text[start:end]
        name, array = _header(piece.split("\n", 1)[0]) if start in headed else ((), False)
        blocks.append(Block(piece, line, name, array, _place(name, array, counts)))
        line += piece.count("\n")
    return tuple(blocks)


def _place(name: Sequence[str], array: bool, counts: dict[Place, int]) -> Place:
    """Place of a block: each [[array]] met on the way stands for its newest element."""
    place: Place = ()
    for number, part in enumerate(name, 1):
        place = (*place, part)
        if number == len(name) and array:
            counts[place] = counts.get(place, -1) + 1
        if place in counts:
            place = (*place, counts[place])
    return place


def body_and_tail(text: str) -> tuple[str, str]:
    """A block's own lines, and the blank and comment lines after them, which lead to the next block."""
    lines = text.split("\n")
    end = len(lines)
    while end > 1 and _leads(lines[end - 1]):
        end -= 1
    if end == len(lines):
        return text, ""
    body = "\n".join(lines[:end]) + "\n"
    return body, text[len(body) :]


def _leads(line: str) -> bool:
    """Blank, or a comment that cannot be the end of a long text."""
    bare = line.strip()
    return not bare or (bare.startswith("#") and '"""' not in bare and "'''" not in bare)
