"""Every command block of the tutorial and the how-to pages runs, and prints the lines that the page shows."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.docs.running import run_page

DOCS = Path(__file__).resolve().parents[2] / "docs"
ALL = [page for kind in ("tutorial", "howto") for page in sorted((DOCS / kind).glob("*.md"))]
PAGES = [page for page in ALL if "```console" in page.read_text(encoding="utf-8")]


def test_there_are_pages_with_commands() -> None:
    assert {"first-house.md", "read-the-load-answer.md"} <= {page.name for page in PAGES}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_does_what_it_says(page: Path, tmp_path: Path) -> None:
    wrong = []
    for ran in run_page(page, tmp_path):
        if ran.code != ran.code_wanted() or ran.lacking():
            told = f"exit {ran.code}, wanted {ran.code_wanted()}; lacking {ran.lacking()}"
            wrong.append(f"$ {ran.command}\n{told}\n{ran.printed}")
    assert not wrong, "\n".join(wrong)
