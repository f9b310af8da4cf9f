"""A house with work to test and to commission, on the pages of a test."""

from __future__ import annotations

from pathlib import Path

from tests.commissioning.made_up import HEAD
from tests.web.start import Pages


def with_work(pages: Pages, folder: Path, *more: str) -> None:
    """The small house gives way to one with a new circuit, instruments, and these records."""
    text = HEAD.format(edition="2023", system="120/240 1ph 3w") + "\n".join(more)
    (path := folder / "work.toml").write_text(text, encoding="utf-8")
    pages.job = pages.desk.import_job(path).job_id
