"""A Sheet as HTML: plain Python, every text escaped, the classes of sheet.css."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Callable
from html import escape
from typing import Any

from deadfront.documents import heads
from deadfront.documents.catalog import Catalog
from deadfront.documents.findings import FindingText, finding_texts
from deadfront.documents.numbers import unit_style
from deadfront.documents.rows import UNREAD, Row, figure_text, main_unit, worksheet_rows
from deadfront.documents.shapes import CLASS_OF, alert_triangle, verdict_shape
from deadfront.msg import Msg
from deadfront.worksheet.check import Outcome
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

_TIE = re.compile(r"(?<=[\d)]) (?=(?:A|VA|V|W|kVA|kW|kA|ft|ft²|%|AWG|kcmil|hp)(?!\w))")
SHORT_VERDICT = 20  # characters that stay on one line of a table
_SIGNAL = {"danger": "dgr", "warning": "wrn", "notice": "ntc"}


def tied(text: str) -> str:
    """The text with each figure tied to its unit, so that no line breaks between them."""
    return _TIE.sub("\u00a0", text)


def esc(text: str) -> str:
    """Text made safe for HTML."""
    return escape(tied(text), quote=True)


def verdict_html(outcome: Outcome, words: str) -> str:
    """A drawn shape and a word."""
    short = " short" if len(words) <= SHORT_VERDICT else ""
    return f'<span class="v {CLASS_OF[outcome]}{short}">{verdict_shape(outcome)}{esc(words)}</span>'


def article_html(section: str) -> str:
    """The article in the margin, nothing for none."""
    return f'<span class="art">{esc(section)}</span>' if section else ""


def caution_html(level: str, words: str, catalog: Catalog) -> str:
    """A signal word and what it warns of."""
    sign = "" if level == "notice" else alert_triangle()
    word = esc(catalog.key(f"signal.{level}"))
    return f'<div class="z535 {_SIGNAL[level]}" role="note"><b>{sign}{word}</b><span>{esc(words)}</span></div>'


def sheet_html(sheet: Sheet, catalog: Catalog, *, head: bool = True) -> str:
    """One Sheet as an article element.

    Args:
        sheet: What to lay out.
        catalog: The language.
        head: With job, place, edition and foot, as on paper; False where the page around it says them.
    """
    blocks = "\n".join(block_html(block, catalog) for block in sheet.blocks)
    top = _head(sheet, catalog) if head else _draft(sheet, catalog)
    if not heads.asks(sheet):
        top += f"<h1>{esc(catalog.say(sheet.title))}</h1>"
    foot = _foot(sheet, catalog) if head else _sections(sheet, catalog)
    return (
        f'<article class="paper" id="sheet-{esc(sheet.key)}" lang="{catalog.language}">\n'
        f"{top}\n{blocks}\n{foot}\n</article>"
    )


def block_html(block: Block, catalog: Catalog) -> str:
    """One block of a Sheet."""
    return _BLOCKS[type(block)](block, catalog)


def _draft(sheet: Sheet, catalog: Catalog) -> str:
    why = heads.draft_text(sheet.head, catalog)
    return f'<p class="draft">{esc(why)}</p>' if why else ""


def _head(sheet: Sheet, catalog: Catalog) -> str:
    head = sheet.head
    place = " · ".join(esc(part) for part in heads.head_parts(head, catalog))
    return (
        f'<header class="sheet-head"><p class="job"><b>{esc(head.job)}</b> {place}</p>'
        f'<p class="title">{esc(catalog.say(sheet.title))}</p></header>{_draft(sheet, catalog)}'
    )


def _sections(sheet: Sheet, catalog: Catalog) -> str:
    lines = heads.cite_lines(sheet.cites, catalog)
    return f'<p class="sections">{"<br>".join(esc(line) for line in lines)}</p>' if lines else ""


def _foot(sheet: Sheet, catalog: Catalog) -> str:
    parts = " · ".join(esc(part) for part in heads.foot_parts(sheet.head, catalog))
    return f'<footer class="sheet-foot">{_sections(sheet, catalog)}<p>{parts}</p></footer>'


def _heading(block: Heading, catalog: Catalog) -> str:
    return f"<h2>{esc(catalog.say(block.say))}</h2>"


def _answer(block: Answer, catalog: Catalog) -> str:
    shape = verdict_shape(block.outcome) if block.outcome else ""
    kind = f" v-{CLASS_OF[block.outcome]}" if block.outcome else ""
    spoken = f'<span class="spoken">{esc(catalog.outcome(block.outcome))}: </span>' if block.outcome else ""
    more = "".join(f"<p>{esc(catalog.say(msg))}</p>" for msg in block.more)
    return (
        f'<section class="answer"><h1>{esc(catalog.say(block.question))}</h1>'
        f'<p class="ans{kind}">{shape}{spoken}{esc(catalog.say(block.answer))}</p>{more}</section>'
    )


def _paragraph(block: Paragraph, catalog: Catalog) -> str:
    return f"<p>{esc(catalog.say(block.say))}</p>"


def cell_html(cell: Cell, catalog: Catalog, *, with_unit: bool = True) -> str:
    """One cell of a table."""
    if isinstance(cell, Figure):
        return esc(catalog.figure(cell, with_unit=with_unit))
    if isinstance(cell, Verdict):
        return verdict_html(cell.outcome, catalog.verdict(cell))
    return esc(catalog.say(cell) if isinstance(cell, Msg) else cell)


def shared_unit(table: Table, column: int) -> str:
    """The unit that all figures of a column share; it is said once, in the head."""
    units = {cell.unit for row in table.rows for cell in row[column : column + 1] if isinstance(cell, Figure)}
    return units.pop() if len(units) == 1 else ""


def column_name(table: Table, column: int, catalog: Catalog) -> str:
    """The head of a column, with its unit if the words do not say it already."""
    name = catalog.say(table.columns[column])
    unit = unit_style(shared_unit(table, column)).say
    return name if not unit or unit in name.split() else f"{name} {unit}".strip()


def _table(block: Table, catalog: Catalog) -> str:
    names = [column_name(block, i, catalog) for i in range(len(block.columns))]
    kinds = [" n" if i in block.numeric else "" for i in range(len(block.columns))]
    head = "".join(f'<th scope="col" class="c{kind}">{esc(n)}</th>' for n, kind in zip(names, kinds, strict=True))
    body = []
    for at, row in enumerate(block.rows):
        margin = article_html(catalog.section(block.margins[at])) if at < len(block.margins) else ""
        cells = []
        for i, cell in enumerate(row):
            text = cell_html(cell, catalog, with_unit=not shared_unit(block, i))
            tag = "th" if i == 0 else "td"
            scope = ' scope="row"' if i == 0 else f' data-col="{esc(names[i])}"'
            cells.append(f'<{tag} class="c{kinds[i]}"{scope}>{margin if i == 0 else ""}{text}</{tag}>')
        body.append(f"<tr>{''.join(cells)}</tr>")
    name = f" t-{esc(block.key)}" if block.key else ""
    return (
        f'<div class="block"><table class="list{name}"><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(body)}</tbody></table></div>"
    )


def _working(block: Working, catalog: Catalog) -> str:
    rows = worksheet_rows(block.step, catalog, block.above, block.origins)
    unit = main_unit(rows)
    heads_ = f'<th scope="col">{esc(catalog.key("work.line"))}</th>'
    heads_ += f'<th scope="col" class="n">{esc(catalog.key("work.formula"))}</th>'
    heads_ += f'<th scope="col" class="n">{esc(unit)}</th>'
    body = "".join(work_row_html(row, unit, catalog) for row in rows)
    return f'<div class="block"><table class="work"><thead><tr>{heads_}</tr></thead><tbody>{body}</tbody></table></div>'


def work_row_html(row: Row, unit: str, catalog: Catalog) -> str:
    """One line of a worksheet; `unit` is the one said in the head."""
    kind = " ".join(name for name, on in (("sum", row.sum), ("last", row.level == 0)) if on)
    marks = ""
    for msg in row.marks:
        words = catalog.say(msg)
        shown = verdict_html(Outcome.CANNOT_TELL, words) if msg.key in UNREAD else esc(words)
        marks += f'<span class="mark">{shown}</span>'
    return (
        f'<tr data-step="{esc(row.id)}"{f" class={chr(34)}{kind}{chr(34)}" if kind else ""}>'
        f'<th scope="row">{article_html(row.section)}{esc(catalog.say(row.name))}{marks}</th>'
        f'<td class="n how">{esc(row.formula)}</td><td class="n">{esc(figure_text(row, unit))}</td></tr>'
    )


def _picture(block: Picture, catalog: Catalog) -> str:
    caption = catalog.say(block.say)
    return f'<figure class="picture">{block.svg}<figcaption>{esc(caption)}</figcaption></figure>'


def photo_media(data: bytes) -> str:
    """The media type of a kept photo: it is one of two."""
    return "image/png" if data.startswith(b"\x89PNG") else "image/jpeg"


def _photo(block: Photo, catalog: Catalog) -> str:
    words = esc(catalog.say(block.say))
    source = f"data:{photo_media(block.data)};base64,{b64encode(block.data).decode()}"
    return f'<figure class="picture photo"><img src="{source}" alt="{words}"><figcaption>{words}</figcaption></figure>'


def finding_html(text: FindingText) -> str:
    """One finding as a foreman would say it: verdict, finding, what to do, what to find out."""
    more = "".join(f'<span class="more">{esc(line)}</span>' for line in text.more)
    return (
        f'<li class="finding {CLASS_OF[text.outcome]}" data-check="{esc(text.check_id)}">'
        f"{article_html(text.section)}{verdict_html(text.outcome, text.lead)} "
        f'<span class="say">{esc(text.say)}</span>{more}</li>'
    )


def _findings(block: Findings, catalog: Catalog) -> str:
    if not block.checks:
        return f"<p>{esc(catalog.key('finding.none'))}</p>"
    items = "".join(finding_html(text) for text in finding_texts(block.checks, catalog))
    return f'<ul class="findings">{items}</ul>'


def _caution(block: Caution, catalog: Catalog) -> str:
    return f'<div class="block">{caution_html(block.level, catalog.say(block.say), catalog)}</div>'


def _signature(block: Signature, catalog: Catalog) -> str:
    lines = "".join(f"<span>{esc(catalog.key(f'sign.{part}'))}</span>" for part in heads.SIGN_PARTS)
    return f'<div class="sign"><p>{esc(catalog.say(block.role))}</p><div class="lines">{lines}</div></div>'


def _page_break(block: PageBreak, catalog: Catalog) -> str:
    return '<hr class="page-break">'


_BLOCKS: dict[type, Callable[[Any, Catalog], str]] = {
    Heading: _heading,
    Answer: _answer,
    Paragraph: _paragraph,
    Table: _table,
    Working: _working,
    Picture: _picture,
    Photo: _photo,
    Findings: _findings,
    Caution: _caution,
    Signature: _signature,
    PageBreak: _page_break,
}
