"""The reference pages say what the data says, and the pages in docs/ are the current ones."""

from __future__ import annotations

from pathlib import Path

import pytest

from deadfront.codebook.data_files import data
from deadfront.codebook.pages import coverage_page, sources_page

REFERENCE = Path(__file__).resolve().parents[2] / "docs" / "reference"


@pytest.mark.parametrize(("name", "text"), [("coverage.md", coverage_page()), ("sources.md", sources_page())])
def test_docs_are_current(name: str, text: str) -> None:
    assert (REFERENCE / name).read_text(encoding="utf-8") == text


def test_every_entry_reason_and_source_is_on_its_page() -> None:
    page = coverage_page()
    for entries in (data().values, data().tables, data().rules, data().reasons):
        assert all(f"`{name}`" in page for name in entries)
    assert all(f"| {key} |" in sources_page() for key in data().sources)


def test_the_page_shows_figures_sections_and_refusals() -> None:
    lines = coverage_page().splitlines()
    unit_load = next(line for line in lines if line.startswith("| `lighting_unit_load`"))
    assert "3; 220.41; verified (C9)" in unit_load and "2; 120.41; partly (C5)" in unit_load
    existing = next(line for line in lines if line.startswith("| `existing_dwelling_load`"))
    assert existing.endswith("not encoded: `table_120_83` |")
    assert "- `dryer_demand`, memory: 6, 7, 8, 24-42, 43+" in lines
    evse = next(line for line in lines if line.startswith("| `fastened_excludes_evse`"))
    assert "| no; 220.53; partly (S1) |" in evse and "| yes; 220.53; verified (C11) |" in evse
