"""Sheets as HTML: kept as snapshots; nothing typed by a person ever comes out as markup."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from deadfront.documents.catalog import Catalog
from deadfront.documents.html import esc, sheet_html
from deadfront.documents.standalone import sheet_css, standalone_html
from deadfront.worksheet.sheet import Heading, Paragraph, Sheet, SheetHead, Table
from tests.documents.sample_sheet import plain, sample_sheet
from tests.documents.snapshots import same_as_kept

EN, ES = Catalog("en", strict=True), Catalog("es", strict=True)
VOID = {"meta", "br", "hr", "circle", "rect", "path", "img", "link"}


class Balance(HTMLParser):
    """Checks that each element closes in its order, and keeps names and text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: set[str] = set()
        self.attrs: set[str] = set()
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)
        self.attrs |= {name for name, _ in attrs}
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open.pop() == tag

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)
        self.attrs |= {name for name, _ in attrs}

    def handle_data(self, data: str) -> None:
        self.text += data


def parsed(html: str) -> Balance:
    reader = Balance()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    return reader


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
def test_the_sample_sheet_is_as_kept(catalog: Catalog) -> None:
    html = sheet_html(sample_sheet(catalog=catalog), catalog)
    parsed(html)
    same_as_kept(f"sample.{catalog.language}.html", html + "\n")


def test_a_sheet_inside_a_page_leaves_out_what_the_page_says_but_not_that_it_is_a_draft() -> None:
    html = sheet_html(sample_sheet(), EN, head=False)
    assert "sheet-head" not in html and "7f3a9c2e" not in html
    assert "DRAFT: the water heater" in html


def test_a_final_sheet_says_nothing_of_a_draft() -> None:
    assert "DRAFT" not in sheet_html(sample_sheet(draft=False), EN)


def test_a_sheet_without_a_question_opens_with_its_title() -> None:
    sheet = Sheet("x", plain("Circuit directory"), SheetHead("j", "p", "2023"), (Heading(plain("h")),))
    assert "<h1>Circuit directory</h1>" in sheet_html(sheet, EN)


@given(st.text(alphabet="<>&\"'/ =abcscript123\u00e9", max_size=40))
def test_typed_text_stays_text(name: str) -> None:
    head = SheetHead(job=name, place=name, edition=name, revision=name, on=name, engine=name, digest=name)
    table = Table((plain(name),), ((name,), (plain(name),)), margins=(name,), key=name)
    html = sheet_html(Sheet(name, plain(name), head, (Paragraph(plain(name)), table)), EN)
    known = parsed(sheet_html(sample_sheet(), EN))
    reader = parsed(html)
    assert reader.seen <= known.seen | {"h1"}
    assert reader.attrs <= known.attrs


def test_a_script_in_a_name_is_printed_as_its_letters() -> None:
    html = standalone_html([sample_sheet("<script>alert(1)</script>")], EN)
    assert "<script" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in html


def test_one_file_needs_nothing_else() -> None:
    html = standalone_html([sample_sheet(), sample_sheet()], EN)
    reader = parsed(html)
    assert not reader.seen & {"script", "link", "iframe", "img"}
    assert "style" not in reader.attrs, "inline styles break a strict content policy"
    assert "url(fonts" not in html and html.count("font/woff2") >= 2
    assert "http://" not in html.replace("http://www.w3.org/2000/svg", "") and "https://" not in html


def test_a_figure_is_tied_to_its_unit() -> None:
    assert esc("at most 99.3 A of 100 A, a 4 Apt") == "at most 99.3\u00a0A of 100\u00a0A, a 4 Apt"


def test_the_style_prints_and_folds() -> None:
    css = sheet_css()
    assert "@media print" in css and "@page" in css and "max-width:900px" in css
