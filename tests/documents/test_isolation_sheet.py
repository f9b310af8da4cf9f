"""The isolation sheet: two pages a step in both languages, nothing promised, every line to tick, a line to sign."""

from __future__ import annotations

from datetime import date

import pytest

from deadfront.app.answers import answer, sheets_of
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.documents.html import sheet_html
from deadfront.documents.isolation_sheets.plan_sheet import TICK
from deadfront.documents.pdf import packet_pdf
from deadfront.worksheet.sheet import Caution, PageBreak, Sheet, Table
from tests.isolation.houses import PANEL, full_house, job_of

ON = date(2026, 5, 12)


def sheet_of(language: str) -> Sheet:
    found = sheets_of(answer(full_house()), Catalog(language), revision=1, on=ON)
    return next(each for each in found if each.key == "isolation")


@pytest.mark.parametrize("language", LANGUAGES)
def test_two_pages_for_each_of_two_steps(language: str) -> None:
    pdf = packet_pdf([sheet_of(language)], Catalog(language), date=ON)
    assert b"/Type/Pages/Count 4/" in pdf


def test_each_step_has_its_procedure_tests_way_back_and_two_lines_to_sign() -> None:
    sheet = sheet_of("en")
    tables = [block for block in sheet.blocks if isinstance(block, Table)]
    for key in ("isolation_steps", "isolation_locks", "isolation_prove", "isolation_back", "isolation_live"):
        assert sum(table.key == key for table in tables) >= 2, key
    assert sum(table.key == "isolation_sign" for table in tables) == 4
    assert sum(isinstance(block, PageBreak) for block in sheet.blocks) == 3
    assert sum(isinstance(block, Caution) and block.level == "danger" for block in sheet.blocks) == 2
    steps = next(table for table in tables if table.key == "isolation_steps")
    assert all(row[-1] == TICK for row in steps.rows)
    prove = next(table for table in tables if table.key == "isolation_prove")
    first, last = prove.rows[0][0], prove.rows[-1][0]
    assert "before" in Catalog("en").say(first) and "after" in Catalog("en").say(last)  # type: ignore[arg-type]


def test_the_screen_shows_the_same_and_a_job_without_such_work_has_no_sheet() -> None:
    text = sheet_html(sheet_of("en"), Catalog("en"))
    assert "Prove dead" in text and "isolation." not in text
    found = sheets_of(answer(job_of(PANEL)), Catalog("en"), revision=1, on=ON)
    assert "isolation" not in [each.key for each in found]
