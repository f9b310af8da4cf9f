"""A Sheet as plain data for the typesetter: every word said, every figure formatted, nothing left to work out."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from typing import Any

from deadfront.documents import heads
from deadfront.documents.catalog import Catalog
from deadfront.documents.findings import finding_texts
from deadfront.documents.html import column_name, photo_media, shared_unit, tied
from deadfront.documents.rows import UNREAD, figure_text, main_unit, worksheet_rows
from deadfront.documents.shapes import CLASS_OF
from deadfront.msg import Msg
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Figure,
    Findings,
    Heading,
    PageBreak,
    Paragraph,
    Photo,
    Picture,
    Sheet,
    Signature,
    Table,
    Verdict,
    Working,
)

Data = dict[str, Any]


def sheet_data(sheet: Sheet, catalog: Catalog) -> Data:
    """One Sheet for the typesetter."""
    head = sheet.head
    return {
        "title": catalog.say(sheet.title),
        "job": head.job,
        "head": [tied(part) for part in heads.head_parts(head, catalog)],
        "draft": tied(heads.draft_text(head, catalog)),
        "foot": heads.foot_parts(head, catalog),
        "sections": heads.cite_lines(sheet.cites, catalog),
        "asks": heads.asks(sheet),
        "blocks": [
            {**block_data(block, catalog), "hold": hold}
            for block, hold in zip(sheet.blocks, held(sheet.blocks), strict=True)
        ],
    }


def held(blocks: Sequence[Block]) -> list[bool]:
    """Which blocks stay on the page of the next: a line to sign never stands alone with its cautions."""
    holds: list[bool] = []
    for after in (None, *reversed(blocks[1:])):
        follows = isinstance(after, Caution) and bool(holds) and holds[-1]
        holds.append(isinstance(after, Signature) or follows)
    return holds[::-1] if blocks else []


def block_data(block: Block, catalog: Catalog) -> Data:
    """One block for the typesetter."""
    kind, make = _BLOCKS[type(block)]
    return {"kind": kind, **make(block, catalog)}


def _said(msg: Msg, catalog: Catalog) -> str:
    return tied(catalog.say(msg))


def _answer(block: Answer, catalog: Catalog) -> Data:
    return {
        "question": _said(block.question, catalog),
        "answer": _said(block.answer, catalog),
        "outcome": CLASS_OF[block.outcome] if block.outcome else "",
        "more": [_said(msg, catalog) for msg in block.more],
    }


def _cell(cell: Cell, catalog: Catalog, *, with_unit: bool) -> Data:
    if isinstance(cell, Figure):
        return {"text": tied(catalog.figure(cell, with_unit=with_unit)), "outcome": ""}
    if isinstance(cell, Verdict):
        return {"text": tied(catalog.verdict(cell)), "outcome": CLASS_OF[cell.outcome]}
    return {"text": tied(catalog.say(cell) if isinstance(cell, Msg) else cell), "outcome": ""}


def _table(block: Table, catalog: Catalog) -> Data:
    columns = range(len(block.columns))
    return {
        "columns": [column_name(block, i, catalog) for i in columns],
        "key": block.key,
        "numeric": list(block.numeric),
        "margins": [
            catalog.section(block.margins[i]) if i < len(block.margins) else "" for i in range(len(block.rows))
        ],
        "rows": [
            [_cell(cell, catalog, with_unit=not shared_unit(block, i)) for i, cell in enumerate(row)]
            for row in block.rows
        ],
    }


def _working(block: Working, catalog: Catalog) -> Data:
    rows = worksheet_rows(block.step, catalog, block.above, block.origins)
    unit = main_unit(rows)
    return {
        "columns": [catalog.key("work.line"), catalog.key("work.formula"), unit],
        "rows": [
            {
                "section": row.section,
                "name": _said(row.name, catalog),
                "marks": [{"text": _said(m, catalog), "tell": m.key in UNREAD} for m in row.marks],
                "formula": tied(row.formula),
                "figure": tied(figure_text(row, unit)),
                "sum": row.sum,
                "last": row.level == 0,
            }
            for row in rows
        ],
    }


def _picture(block: Picture, catalog: Catalog) -> Data:
    first = block.svg.partition("</svg>")[0] + "</svg>"
    page = [float(each) for each in block.page_in] if block.page_in else []
    return {"svg": first, "say": _said(block.say, catalog), "width_mm": float(block.width_mm), "page": page}


def photo_file(block: Photo) -> str:
    """The name under which the typesetter finds a photo."""
    ending = photo_media(block.data).partition("/")[2]
    return f"{hashlib.sha256(block.data).hexdigest()[:24]}.{ending}"


def _photo(block: Photo, catalog: Catalog) -> Data:
    return {"file": photo_file(block), "say": _said(block.say, catalog), "width_mm": float(block.width_mm)}


def _findings(block: Findings, catalog: Catalog) -> Data:
    items = [
        {
            "outcome": CLASS_OF[text.outcome],
            "section": text.section,
            "lead": text.lead,
            "say": tied(text.say),
            "more": [tied(line) for line in text.more],
        }
        for text in finding_texts(block.checks, catalog)
    ]
    return {"items": items, "none": catalog.key("finding.none")}


def _caution(block: Caution, catalog: Catalog) -> Data:
    word = catalog.key(f"signal.{block.level}")
    return {"level": block.level, "word": word, "say": _said(block.say, catalog)}


def _signature(block: Signature, catalog: Catalog) -> Data:
    return {
        "role": _said(block.role, catalog),
        "parts": [catalog.key(f"sign.{part}") for part in heads.SIGN_PARTS],
    }


_BLOCKS: dict[type, tuple[str, Callable[[Any, Catalog], Data]]] = {
    Heading: ("heading", lambda block, catalog: {"say": _said(block.say, catalog)}),
    Paragraph: ("paragraph", lambda block, catalog: {"say": _said(block.say, catalog)}),
    PageBreak: ("page_break", lambda block, catalog: {}),
    Answer: ("answer", _answer),
    Table: ("table", _table),
    Working: ("working", _working),
    Picture: ("picture", _picture),
    Photo: ("photo", _photo),
    Findings: ("findings", _findings),
    Caution: ("caution", _caution),
    Signature: ("signature", _signature),
}
