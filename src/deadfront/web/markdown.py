"""Help texts to HTML: headings, paragraphs, lists, bold, code; everything else is text."""

from __future__ import annotations

import re
from collections.abc import Iterator

from markupsafe import Markup, escape

_BOLD = re.compile(r"\*\*(.+?)\*\*")
_CODE = re.compile(r"`([^`]+)`")
_ITEM = re.compile(r"(?:[-*]|\d+\.)\s+(.*)")


def to_html(text: str) -> Markup:
    """A help text as HTML; nothing in it can be anything but text."""
    blocks = re.split(r"\n\s*\n", text.replace("\r\n", "\n").strip())
    return Markup("\n".join(part for block in blocks for part in _block(block.split("\n"))))


def _inline(text: str) -> str:
    safe = str(escape(text))
    return _CODE.sub(r"<code>\1</code>", _BOLD.sub(r"<strong>\1</strong>", safe))


def _block(lines: list[str]) -> Iterator[str]:
    plain: list[str] = []
    items: list[str] = []
    for line in [*lines, ""]:
        heading, item = re.match(r"(#{1,3})\s+(.*)", line), _ITEM.match(line)
        if items and not item:
            if line.startswith("  "):
                items[-1] += " " + line.strip()
                continue
            yield "<ul>" + "".join(f"<li>{_inline(each)}</li>" for each in items) + "</ul>"
            items = []
        if plain and (heading or item or not line.strip()):
            yield f"<p>{_inline(' '.join(plain))}</p>"
            plain = []
        if heading:
            level = len(heading[1])
            yield f"<h{level}>{_inline(heading[2])}</h{level}>"
        elif item:
            items.append(item[1])
        elif line.strip():
            plain.append(line.strip())
