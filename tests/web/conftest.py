"""A library for each test, and one browser for all of them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.web.start import ARGS, CHROMIUM, Pages, served


@pytest.fixture
def pages(tmp_path: Path) -> Pages:
    """The pages on a new library with the small house."""
    return Pages(tmp_path)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The real browser."""
    with sync_playwright() as play:
        found = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        yield found
        found.close()


class Screen:
    """A browser page on the served pages; console errors and faults are gathered."""

    def __init__(self, page: Page, address: str, pages: Pages) -> None:
        self.page, self.address, self.pages, self.errors = page, address, pages, []
        page.on("console", lambda m: self.errors.append(m.text) if m.type in ("error", "warning") else None)
        page.on("pageerror", lambda e: self.errors.append(str(e)))
        page.goto(f"{address}/?key={pages.settings.key}")

    def open(self, path: str) -> Page:
        """A page of the small house, or one by its whole path."""
        self.page.goto(self.address + (path if path.startswith("/") else f"/jobs/{self.pages.job}/{path}"))
        return self.page

    def unexpected(self) -> list[str]:
        """Errors other than an answer that refuses something typed (the browser logs these by itself)."""
        return [e for e in self.errors if "status of 422" not in e and "status of 409" not in e]


@pytest.fixture
def screen(pages: Pages, browser: Browser, request: Any) -> Iterator[Screen]:
    """A desktop screen; `indirect` parameters give another width."""
    width, height = getattr(request, "param", (1280, 900))
    with served(pages.desk, pages.settings) as address:
        context = browser.new_context(viewport={"width": width, "height": height})
        context.set_default_timeout(8000)
        try:
            yield Screen(context.new_page(), address, pages)
        finally:
            context.close()
