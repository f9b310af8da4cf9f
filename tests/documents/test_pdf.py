"""The packet as PDF: our typefaces only, typed text printed literally, quick enough to wait for."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from deadfront.documents import pdf
from deadfront.documents.catalog import Catalog, words
from deadfront.documents.formula import LESS, OVER, PLUS, TIMES
from deadfront.documents.numbers import _units
from deadfront.documents.paper import sheet_data
from deadfront.documents.pdf import packet_pdf
from deadfront.errors import NotFound
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import (
    Caution,
    Findings,
    Heading,
    Paragraph,
    Sheet,
    SheetHead,
    Signature,
    Table,
    Verdict,
)
from tests.documents.sample_sheet import checks, plain, sample_sheet

EN, ES = Catalog("en", strict=True), Catalog("es", strict=True)
DAY = date(2026, 5, 12)
NASTY = '#eval("1") $x^2$ *b* _i_ @ref <tag> [c] `r` // \\ = h'
FONTS = Path(pdf.__file__).parent / "fonts"


def text_of(data: bytes, tmp_path: Path) -> str:
    """The text that a reader finds in the PDF."""
    tool = shutil.which("pdftotext")
    if tool is None:
        pytest.skip("pdftotext (poppler-utils) is not installed: the text of the PDF was not read back")
    (tmp_path / "x.pdf").write_bytes(data)
    done = subprocess.run([tool, "-layout", "x.pdf", "-"], cwd=tmp_path, capture_output=True, check=True)
    return done.stdout.decode("utf-8").replace("\u00a0", " ")


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
def test_the_packet_holds_what_the_sheet_says(catalog: Catalog, tmp_path: Path) -> None:
    data = packet_pdf([sample_sheet(catalog=catalog)], catalog, date=DAY)
    text = text_of(data, tmp_path)
    page = "page 1 of 3" if catalog is EN else "página 1 de 3"
    for wanted in ("14 Hollow Creek Rd", page, "7f3a9c2e", "1,840 ft² × 3 VA/ft²", "220.83(B)", "5,457"):
        assert wanted in text, wanted
    assert ("DANGER" if catalog is EN else "PELIGRO") in text
    assert text.count("DRAFT:" if catalog is EN else "BORRADOR:") == 3, "a draft says so on every page"


def test_markup_in_a_name_is_printed_literally(tmp_path: Path) -> None:
    sheet = Sheet("x", plain(NASTY), SheetHead(NASTY, "Marlow Falls", "2023"), (Heading(plain(NASTY)),))
    text = text_of(packet_pdf([sheet], EN, date=DAY), tmp_path)
    assert "".join(text.split()).count("".join(NASTY.split())) >= 2


def test_nothing_of_the_data_is_read_as_markup() -> None:
    template = (Path(pdf.__file__).parent / "typst" / "sheet.typ").read_text(encoding="utf-8")
    assert "eval(" not in template
    sheet = Sheet("x", plain(NASTY), SheetHead(NASTY, "p", "2023"), ())
    assert sheet_data(sheet, EN)["title"] == NASTY


def test_it_is_tagged_and_claims_pdf_ua() -> None:
    data = packet_pdf([sample_sheet()], EN, date=DAY)
    assert data.startswith(b"%PDF-")
    assert b"pdfuaid:part" in data and b"/MarkInfo" in data


def test_only_our_typefaces_are_inside() -> None:
    data = packet_pdf([sample_sheet()], EN, date=DAY)
    inside = {name.split(b"+")[-1] for name in re.findall(rb"/BaseFont\s*/([\w+-]+)", data)}
    assert inside
    assert all(name.startswith((b"AtkinsonHyperlegible", b"DejaVuSans")) for name in inside), inside


def test_a_missing_typeface_stops_the_paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pdf._fonts.cache_clear()
    monkeypatch.setattr(pdf, "_folder", lambda name: tmp_path)
    try:
        with pytest.raises(NotFound) as caught:
            packet_pdf([sample_sheet()], EN, date=DAY)
    finally:
        pdf._fonts.cache_clear()
    assert "Atkinson Hyperlegible Next, Atkinson Hyperlegible Mono and DejaVu Sans" in EN.say(caught.value.msg)


def test_the_same_sheets_and_date_give_the_same_bytes() -> None:
    first, second = (packet_pdf([sample_sheet()], EN, date=DAY) for _ in range(2))
    assert first == second


def test_a_warm_packet_is_ready_within_a_second() -> None:
    packet_pdf([sample_sheet()], EN, date=DAY)
    start = time.perf_counter()
    packet_pdf([sample_sheet(), sample_sheet()], EN, date=DAY)
    assert time.perf_counter() - start < 1.0


def test_typst_loads_only_when_a_pdf_is_asked_for() -> None:
    code = "import sys, deadfront.documents.pdf; sys.exit('typst' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_every_character_of_our_words_has_a_glyph() -> None:
    """Each weight of text and of figures, with the symbols face behind it."""
    shown = set(TIMES + PLUS + LESS + OVER + "·\u00a0") | {c for unit in _units().values() for c in unit.say}
    for language in ("en", "es"):
        for text in words(language).values():
            shown |= set("".join(text.values()) if isinstance(text, dict) else text)
    shown -= set("\n")
    for family in ("Next", "Mono"):
        for weight in ("Regular", "Bold"):
            own = TTFont(FONTS / f"AtkinsonHyperlegible{family}-{weight}.ttf").getBestCmap()
            behind = TTFont(FONTS / f"DejaVuSans-{weight}.ttf").getBestCmap()
            lacking = {c for c in shown if ord(c) not in own and ord(c) not in behind}
            assert not lacking, f"{family} {weight} lacks {sorted(lacking)}"


def test_a_line_to_sign_never_stands_alone_on_a_page(tmp_path: Path) -> None:
    """Pushed down line by line past the end of the page, it takes its notice and the last finding with it."""
    pages = set()
    for lines in range(24, 48, 2):
        filler = tuple(Paragraph(plain(f"filler {n}")) for n in range(lines))
        blocks = (*filler, Findings(checks()), Caution("notice", plain("review")), Signature(plain("responsible")))
        text = text_of(
            packet_pdf([Sheet("x", plain("x"), SheetHead("j", "p", "2023"), blocks)], EN, date=DAY), tmp_path
        )
        for number, page in enumerate(text.split("\f")):
            if "license number" in page:
                pages.add(number)
                assert "NOTICE" in page and "is met:" in page, f"{lines} lines"
    assert pages == {0, 1}, "the line to sign was on the first page and on the second"


def test_a_long_verdict_leaves_room_for_the_name_before_it(tmp_path: Path) -> None:
    """The name stays on one line beside a verdict that needs two."""
    why = plain("hangs on the rating of the service conductors, which is not known yet")
    row = (plain("Existing dwelling"), Verdict(Outcome.CANNOT_TELL, why))
    table = Table((plain("method"), plain("may be used")), (row,))
    sheet = Sheet("x", plain("x"), SheetHead("j", "p", "2023"), (table,))
    assert "Existing dwelling" in text_of(packet_pdf([sheet], EN, date=DAY), tmp_path)
