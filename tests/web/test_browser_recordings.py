"""A recording in a real browser: sent up, explained, read with progress, stopped, read again, on the load."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page

from deadfront.recordings.source import Source
from tests.recordings_made import made_year
from tests.web.conftest import Screen
from tests.web.looked import faults
from tests.web.test_browser import until

PHONE, DESK = (390, 844), (1280, 900)
BOTH = pytest.mark.parametrize("screen", [PHONE, DESK], indirect=True, ids=["phone", "desk"])
STEP = 1 << 17


@pytest.fixture(scope="module")
def minutes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every minute of 200 days, about 6 MB; the clock of each day is written once."""
    clock = [f"{n // 60:02}:{n % 60:02},{400 + n % 97}\n" for n in range(1440)]
    days = [f"{datetime(2025, 1, 1) + timedelta(days=n):%Y-%m-%d} " for n in range(200)]
    path = tmp_path_factory.mktemp("recording") / "minutes.csv"
    path.write_text("time,Total (W)\n" + "".join(day + line for day in days for line in clock), encoding="utf-8")
    return path


@pytest.fixture
def year(tmp_path: Path) -> Path:
    path = tmp_path / "usage 2025.csv"
    path.write_text(made_year(), encoding="utf-8")
    return path


@pytest.fixture
def slowly(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A disk that hands out half a megabyte a second: the file takes more than ten."""
    plain = Source.read

    def read(self: Source, size: int = STEP) -> bytes:
        time.sleep(0.25)
        return plain(self, min(size, STEP) if size and size > 0 else STEP)

    with monkeypatch.context() as patch:
        patch.setattr(Source, "read", read)
        yield


def send(screen: Screen, path: Path) -> Page:
    page = screen.open("recordings")
    page.set_input_files("#send input[type=file]", str(path))
    page.click("#send button")
    page.wait_for_url("**/recordings/mapping")
    return page


def percent(page: Page) -> int:
    """How far the page says the reading is; 100 once it says no more."""
    value = page.evaluate("document.querySelector('#run progress')?.value ?? 100")
    return int(value)


def left_on_disk(screen: Screen) -> list[str]:
    folder = screen.pages.desk.library.path.parent
    return [p.name for p in folder.rglob("*") if p.is_file() and (".tray-" in str(p) or "db.files" in str(p))]


@BOTH
def test_sent_up_explained_read_and_on_the_load(screen: Screen, year: Path) -> None:
    page = screen.open("load")
    page.click("#recordings .plain")
    page.wait_for_url("**/recordings")
    assert faults(page) == []
    page = send(screen, year)
    assert "1 question must be answered" in page.inner_text("#mapping-answer")
    assert page.locator("#asked li.open #ask-zone").count() == 1
    assert faults(page) == []
    page.fill("#ask-zone", "America/Denver")
    page.keyboard.press("Tab")
    until(page, "document.querySelector('#mapping-answer')?.innerText.startsWith('Nothing is left open')")
    assert page.input_value("#ask-zone") == "America/Denver", "what was typed stays"
    rows = page.locator("#preview .read").all_inner_texts()
    assert rows[0].replace("\u00a0", " ") == "2025-01-01 00:00 to 00:15: 0.24 kWh = 0.96 kW"
    page.select_option("#general [name=stamps], #asked [name=stamps]", "end")
    until(page, "document.querySelector('#preview .read')?.innerText.startsWith('2024-12-31 23:45')")
    page.select_option("#general [name=stamps], #asked [name=stamps]", "start")
    until(page, "document.querySelector('#preview .read')?.innerText.startsWith('2025-01-01 00:00')")
    page.select_option("#ask-taken", "utility")
    page.select_option("#ask-occupied", "yes")
    until(page, "!document.querySelector('.htmx-request')")
    assert page.input_value("#ask-taken") == "utility"
    assert faults(page) == []
    page.click("#read")
    page.wait_for_selector("#run a[href$='/load#choices']")
    # 1.565 kWh in a quarter of an hour: 6,260 W.
    assert "Largest quarter hour on the clock: 6,260 W, 2025-01-11 19:00 MST" in page.inner_text("#run")
    assert "6,260 W" in page.inner_text("#recordings") and "free of doubt" in page.inner_text("#recordings")
    assert "revision 2" in page.inner_text("#where")
    assert faults(page) == []
    page.click("#run a[href$='/load#choices']")
    page.wait_for_url("**/load#choices")
    assert page.locator("#rely-measured").count() == 1
    shown = page.locator(".recorded-sheet svg.plot")
    assert shown.count() == 3 and all(box and box["width"] > 250 for box in (p.bounding_box() for p in shown.all()))
    assert faults(page) == []
    page = send(screen, year)
    assert page.locator("#remembered").count() == 1 and page.locator("#asked").count() == 0
    assert left_on_disk(screen).count("file") == 1
    page.click("[formaction$='/put-away']")
    page.wait_for_url("**/recordings")
    assert left_on_disk(screen).count("file") == 0
    page.on("dialog", lambda dialog: dialog.accept())
    page.click("#recordings button[data-sure]")
    until(page, "document.querySelector('#answer')?.innerText === 'No recording yet.'")
    assert screen.unexpected() == []


@BOTH
def test_a_stop_really_stops_and_every_page_knows(screen: Screen, minutes: Path, slowly: None) -> None:
    page = send(screen, minutes)
    page.fill("#ask-zone", "America/Denver")
    page.keyboard.press("Tab")
    until(page, "document.querySelector('#mapping-answer')?.innerText.startsWith('Nothing is left open')")
    asked: list[float] = []
    page.on("request", lambda r: asked.append(time.monotonic()) if r.url.endswith("/recordings/run") else None)
    page.click("#read")
    page.wait_for_selector("#run progress")
    assert faults(page) == []
    first = percent(page)
    until(page, "before => (document.querySelector('#run progress')?.value ?? 0) > before", max(first, 1))
    assert percent(page) < 100, "it is still being read"
    page.reload()
    assert page.locator("#cancel").count() == 1, "a page loaded again finds the reading"
    other = page.context.new_page()
    other.goto(page.url)
    assert re.search(r"\d+ %", other.inner_text("#run-told")), "and so does another one"
    other.click("#cancel")
    words = "Reading minutes.csv was stopped. Nothing of it was kept."
    for each in (other, page):
        until(each, f"(document.querySelector('#run')?.innerText ?? '').includes('{words}')")
    steps = [later - sooner for sooner, later in zip(asked, asked[1:], strict=False)]
    assert asked and all(step > 0.3 for step in steps), "the page asks about once a second"
    count = len(asked)
    page.wait_for_timeout(2200)
    assert len(asked) == count, "and no more once it has ended"
    assert left_on_disk(screen) == [] and screen.pages.revision == 1
    assert screen.pages.desk.library.attachments(screen.pages.job) == []
    assert page.locator("#answer").inner_text() == "No recording yet."
    assert screen.unexpected() == []


@pytest.mark.parametrize("screen", [DESK], indirect=True, ids=["desk"])
def test_a_failure_says_what_to_do_and_a_file_too_large_is_not_sent(screen: Screen, year: Path) -> None:
    page = send(screen, year)
    page.fill("#ask-zone", "America/Denver")
    page.select_option("#columns [name='kind.1']", "register")
    until(page, "document.querySelector('#preview .read')?.innerText.includes('kWh') && "
                "!document.querySelector('.htmx-request')")  # fmt: skip
    page.fill("#ask-power_factor", "12")
    page.click("#read")
    until(page, "(document.querySelector('#mapping-trouble')?.innerText ?? '').includes('no power factor')")
    assert page.input_value("#ask-power_factor") == "12", "what was typed is still there"
    assert faults(page) == []
    screen.open("recordings")
    page.evaluate("document.querySelector('#send input').dataset.most = '1000'")
    page.set_input_files("#send input[type=file]", str(year))
    page.click("#send button")
    assert "This file is larger than 4 GB" in page.inner_text("#send .say")
    assert page.url.endswith("/recordings")
    assert screen.unexpected() == []


@pytest.mark.parametrize("screen", [PHONE], indirect=True, ids=["phone"])
def test_all_of_it_in_spanish_on_a_phone(screen: Screen, year: Path) -> None:
    page = screen.open("recordings")
    page.click(".language button[value=es]")
    until(page, "document.documentElement?.lang === 'es'")
    page = send(screen, year)
    page.fill("#ask-zone", "America/Denver")
    page.keyboard.press("Tab")
    until(page, "document.querySelector('#mapping-answer')?.innerText.startsWith('No queda nada abierto')")
    assert faults(page) == []
    page.click("#read")
    page.wait_for_selector("#run a[href$='/load#choices']")
    assert "Mayor cuarto de hora según el reloj: 6,260 W" in page.inner_text("#run")
    assert faults(page) == []
    assert screen.unexpected() == []
