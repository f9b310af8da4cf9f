"""Head and foot of a Sheet in words: the same parts for screen and paper."""

from __future__ import annotations

from collections.abc import Iterable

from deadfront.documents.catalog import Catalog
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.sheet import Answer, Sheet, SheetHead

SIGN_PARTS = ("name", "signature", "license", "date")


def head_parts(head: SheetHead, catalog: Catalog) -> list[str]:
    """Place, edition, amendments, revision and date, those that are set."""
    parts = [head.place, catalog.key("head.edition", edition=head.edition) if head.edition else ""]
    if head.amendments:
        parts.append(catalog.key("head.amendments", names=head.amendments))
    if head.revision:
        parts.append(catalog.key("head.revision", revision=head.revision))
    return [part for part in [*parts, head.on] if part]


def foot_parts(head: SheetHead, catalog: Catalog) -> list[str]:
    """Engine and digest, those that are set."""
    parts = [catalog.key("foot.engine", engine=head.engine)] if head.engine else []
    return [*parts, catalog.key("foot.digest", digest=head.digest)] if head.digest else parts


def draft_text(head: SheetHead, catalog: Catalog) -> str:
    """Why this is still a draft, or nothing."""
    return catalog.key("head.draft_why", why="; ".join(catalog.say(msg) for msg in head.draft)) if head.draft else ""


def cite_lines(cites: Iterable[Cite], catalog: Catalog) -> list[str]:
    """The sections used, one line a code and edition, and one more each for those from memory and in part."""
    by_code: dict[str, list[str]] = {}
    memory: list[str] = []
    partly: list[str] = []
    for cite in dict.fromkeys(cites):
        section = catalog.section(cite.section)
        by_code.setdefault(f"{cite.edition} {cite.code}", []).append(section)
        if cite.marked:
            memory.append(section)
        elif cite.status == "partly" and cite.confirmed_by is None:
            partly.append(section)
    lines = [
        catalog.key("cite.list", code=code, sections=", ".join(dict.fromkeys(sections)))
        for code, sections in by_code.items()
    ]
    if memory:
        lines.append(catalog.key("cite.memory_list", sections=", ".join(dict.fromkeys(memory))))
    in_part = [section for section in dict.fromkeys(partly) if section not in memory]
    if in_part:
        lines.append(catalog.key("cite.partly_list", sections=", ".join(in_part)))
    return lines


def asks(sheet: Sheet) -> bool:
    """True where the sheet opens with a question; else its title is its first heading."""
    return any(isinstance(block, Answer) for block in sheet.blocks)
