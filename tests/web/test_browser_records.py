"""Readings typed on a phone in a real browser: Enter goes on, the verdict comes at once, nothing is lost.

Expected figures: hand. 240.2 V between legs of 120.1 V and 120.1 V fit each other and lie within 114 V to 126 V.
"""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from deadfront.app.library import Desk
from deadfront.store.library import open_library
from tests.web.conftest import Screen
from tests.web.looked import faults
from tests.web.made_records import with_work
from tests.web.start import Pages
from tests.web.test_commission import PNG

BUS = "bus_voltage.p-1aa.left"
PHONE = pytest.mark.parametrize("screen", [(390, 844)], indirect=True)


@pytest.fixture(autouse=True)
def _work(pages: Pages, tmp_path: Path) -> None:
    with_work(pages, tmp_path)


def field(name: str) -> str:
    return f'[id="{BUS}"] [name="f.readings.{name}"]'


def readings(desk: Desk, job: str, test: str = "bus_voltage") -> list[dict[str, str]]:
    """Readings of every record of a test."""
    return [each.readings for step in desk.open_job(job).job.work for each in step.add.records if each.test == test]


@PHONE
def test_enter_goes_on_and_the_verdict_comes_within_a_tenth_of_a_second(screen: Screen) -> None:
    page = screen.open(f"commission#{BUS}")
    page.fill("[data-hand-who]", "J. R.")
    page.focus(field("l1_l2"))
    page.keyboard.type("240.2")
    page.keyboard.press("Enter")
    page.keyboard.type("120.1")
    page.keyboard.press("Enter")
    page.keyboard.type("120.1")
    said = page.locator(f'[id="said-{BUS}"]')
    page.evaluate(
        """(id) => { const seen = new MutationObserver(() => {
        if (window.began) window.took ??= performance.now() - window.began; });
        seen.observe(document.getElementById(id), { childList: true }); addEventListener("keydown", (e) => {
        if (e.key === "Enter") window.began = performance.now(); }, true); }""",
        f"said-{BUS}",
    )
    page.keyboard.press("Enter")
    expect(said).to_contain_text("240.2 V, legs 120.1 V and 120.1 V")
    took = until(lambda: page.evaluate("window.took"))
    assert took < 100, "milliseconds from the last Enter to the verdict"
    expect(said).to_contain_text("published standard")
    sent(page)
    assert readings(screen.pages.desk, screen.pages.job) == [{"l1_l2": "240.2", "l1_n": "120.1", "l2_n": "120.1"}]
    record = screen.pages.desk.open_job(screen.pages.job).job.work[0].add.records[0]
    assert record.on and record.on.isoformat() == "2026-05-12" and record.time and record.instruments == ("ins-1m",)
    assert record.who == "J. R.", "typed once on top"
    assert screen.unexpected() == []


@PHONE
def test_a_wrong_unit_is_said_and_kept(screen: Screen) -> None:
    page = screen.open(f"commission#{BUS}")
    page.fill(field("l1_n"), "120 A")
    page.press(field("l1_n"), "Enter")
    expect(page.locator(f'[id="said-{BUS}"]')).to_contain_text("the unit does not belong here")
    page.wait_for_timeout(600)
    assert readings(screen.pages.desk, screen.pages.job) == [{"l1_n": "120 A"}], "kept as typed"


@PHONE
def test_two_who_type_the_same_field_see_both(screen: Screen) -> None:
    page, pages = screen.open(f"commission#{BUS}"), screen.pages
    thing = {"id": "rec-7xx", "test": "bus_voltage", "thing": "p-1aa", "readings": {"l1_n": "119.5"}}
    edits = [{"do": "add", "step": "w-1aa", "collection": "records", "thing": thing}]
    pages.desk.apply(pages.job, pages.revision, edits, "the other one")
    page.fill(field("l1_n"), "120.1")
    page.press(field("l1_n"), "Enter")
    clash = page.locator(f'[id="{BUS}"] .clash', has_text="119.5")
    expect(clash).to_be_visible()
    assert readings(pages.desk, pages.job) == [{"l1_n": "119.5"}], "theirs stands until it is decided"
    clash.get_by_role("button", name="Keep mine").click()
    expect(clash).to_be_hidden()
    sent(page)
    assert readings(pages.desk, pages.job) == [{"l1_n": "120.1"}]


def until(found: Callable[[], Any], seconds: float = 8) -> Any:
    """What comes within some seconds."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if value := found():
            return value
        time.sleep(0.05)
    raise AssertionError("it did not come")


def sent(page: Page) -> None:
    """Until nothing waits on the device any more."""
    until(lambda: page.evaluate("!Object.keys(localStorage).some((k) => k.startsWith('waiting'))"))


@PHONE
def test_a_thing_struck_out_meanwhile_holds_up_nothing_else(screen: Screen) -> None:
    page, pages = screen.open("commission"), screen.pages
    page.evaluate("document.querySelectorAll('details.group').forEach((each) => { each.open = true; })")
    gone = {"do": "remove", "path": "w-1aa/x-1aa", "cascade": True}
    pages.desk.apply(pages.job, pages.revision, [gone], "the other one")
    page.fill('[id="polarity.x-1aa.left"] [name="f.readings.l_n"]', "120")
    page.press('[id="polarity.x-1aa.left"] [name="f.readings.l_n"]', "Enter")
    page.fill(field("l1_n"), "120.1")
    page.press(field("l1_n"), "Enter")
    until(lambda: readings(pages.desk, pages.job) == [{"l1_n": "120.1"}])
    expect(page.locator('[id="polarity.x-1aa.left"] .clash:visible').first).to_contain_text("x-1aa")
    expect(page.locator("#waiting")).to_be_visible()


@PHONE
def test_a_photo_taken_without_a_connection_goes_out_later(screen: Screen) -> None:
    page, pages = screen.open("commission#visual.p-1aa.left"), screen.pages
    page.context.set_offline(True)
    taken = {"name": "panel.png", "mimeType": "image/png", "buffer": PNG}
    page.set_input_files('[id="visual.p-1aa.left"] [data-photo]', taken)
    expect(page.locator('[id="visual.p-1aa.left"] .taken')).to_contain_text("Kept on this device")
    expect(page.locator("#waiting")).to_have_attribute("data-count", "1")
    page.context.set_offline(False)
    page.click("#waiting [data-send]")
    expect(page.locator('[id="visual.p-1aa.left"] .taken')).to_contain_text("Photo sent.")
    found = [each for step in pages.desk.open_job(pages.job).job.work for each in step.add.records]
    assert [each.test for each in found if each.photo] == ["visual"]
    expect(page.locator("#waiting")).to_be_hidden()


@PHONE
def test_a_terminal_is_judged_as_soon_as_it_is_saved_and_one_more_follows(screen: Screen) -> None:
    page = screen.open("install")
    page.fill('[id="terminal-b-1aa-1"] [name="f.marked_lbf_in"]', "36")
    page.press('[id="terminal-b-1aa-1"] [name="f.marked_lbf_in"]', "Enter")
    page.fill('[id="terminal-b-1aa-1"] [name="f.applied_lbf_in"]', "30")
    page.press('[id="terminal-b-1aa-1"] [name="f.applied_lbf_in"]', "Enter")
    said = page.locator('[id="said-terminal-b-1aa-1"]')
    expect(said).to_contain_text("30 lbf-in, asked 36")
    expect(said).to_contain_text("Target 36 lbf-in")
    page.fill('[id="terminal-b-1aa-4"] [name="f.terminal"]', "neutral bar 4")
    page.fill('[id="terminal-b-1aa-4"] [name="f.applied_lbf_in"]', "25 lbf-in")
    page.click('[id="terminal-b-1aa-4"] button.save')
    expect(page.locator("h3", has_text="neutral bar 4")).to_be_visible()
    expect(page.locator("h3", has_text="One more terminal")).to_be_visible()
    (step,) = screen.pages.desk.open_job(screen.pages.job).job.work
    assert {(each.terminal, each.applied_lbf_in, each.tool) for each in step.add.torques} == {
        ("load terminal", 30, "ins-3t"), ("neutral bar 4", 25, "ins-3t")}  # fmt: skip
    assert screen.unexpected() == []


@PHONE
def test_an_item_of_a_notice_is_followed_by_a_blank_one(screen: Screen) -> None:
    page = screen.open("commission#correction-new")
    page.fill('[id="correction-new"] [name="f.asks"]', "Name the workshop.")
    page.click('[id="correction-new"] button.save')
    expect(page.locator("#corrections-sheet .verdict")).to_contain_text("Nothing done yet.")
    assert page.input_value('[id="correction-new"] [name="f.asks"]') == ""
    assert screen.unexpected() == []


@PHONE
def test_targets_are_large_enough_for_a_thumb_and_nothing_runs_off_the_screen(screen: Screen) -> None:
    for where in ("install", "commission"):
        page = screen.open(where)
        page.evaluate("document.querySelectorAll('details.group').forEach((each) => { each.open = true; })")
        small = page.evaluate(
            """() => [...document.querySelectorAll('.records button, .records a, .records select,'
            + ' .records textarea, .records summary, .records .pick,'
            + ' .records input:not([type=hidden]):not([type=radio]):not([type=file])')]
            .filter((each) => each.checkVisibility() && each.getBoundingClientRect().height < 47.5)
            .map((each) => each.outerHTML.slice(0, 90))"""
        )
        assert small == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 390


# --- no connection, a killed program ----------------------------------------------------------------------------------
class Served:
    """The program as a process of its own on one library and one port."""

    def __init__(self, library: Path, port: int) -> None:
        command = [sys.executable, "-m", "deadfront.cli", "serve", "--library", str(library), "--port", str(port)]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        found = None
        while found is None:
            line = self.process.stdout.readline()  # type: ignore[union-attr]
            assert line or self.process.poll() is None, "the program ended"
            found = re.search(r"http://127\.0\.0\.1:\d+/\?key=(\S+)", line)
        self.key = found[1]

    def kill(self) -> None:
        os.kill(self.process.pid, signal.SIGKILL)
        self.process.wait(10)


@pytest.fixture
def port() -> Iterator[int]:
    with socket.create_server(("127.0.0.1", 0)) as door:
        found = door.getsockname()[1]
    yield found


def test_readings_typed_without_a_connection_outlive_a_killed_program(
    pages: Pages, browser: Browser, port: int
) -> None:  # fmt: skip
    library, job = pages.desk.library.path, pages.job
    pages.desk.library.close()
    one = Served(library, port)
    context = browser.new_context(viewport={"width": 390, "height": 844})
    try:
        page = context.new_page()
        page.goto(f"http://127.0.0.1:{port}/?key={one.key}")
        page.goto(f"http://127.0.0.1:{port}/jobs/{job}/commission")
        context.set_offline(True)
        typed = {"bus_voltage.p-1aa.left": {"l1_l2": "240.2", "l1_n": "120.1", "l2_n": "120.1"},
                 "service_voltage.service.left": {"l1_l2": "240.4", "l1_n": "120.2"}}  # fmt: skip
        for anchor, values in typed.items():
            page.locator(f'details.group:has([id="{anchor}"])').evaluate("(group) => { group.open = true; }")
            for name, value in values.items():
                page.focus(f'[id="{anchor}"] [name="f.readings.{name}"]')
                page.keyboard.type(value)
                page.keyboard.press("Enter")
        bar = page.locator("#waiting")
        expect(bar).to_be_visible()
        count = int(bar.get_attribute("data-count") or 0)
        assert count >= 5, "all readings are counted, with who and when"
        one.kill()
        two = Served(library, port)
        try:
            context.set_offline(False)
            page.click("#waiting [data-send]")
            expect(bar).to_contain_text("started anew")  # another key: nothing is sent, nothing is lost
            page.goto(f"http://127.0.0.1:{port}/?key={two.key}")
            page.goto(f"http://127.0.0.1:{port}/jobs/{job}/commission")
            sent(page)
            time.sleep(0.3)
        finally:
            two.kill()
    finally:
        one.process.poll() is None and one.kill()
        context.close()
    with open_library(library) as again:
        desk = Desk(again)
        assert readings(desk, job) == [typed["bus_voltage.p-1aa.left"]], "there, and once"
        assert readings(desk, job, "service_voltage") == [typed["service_voltage.service.left"]]


@pytest.mark.parametrize("screen", [(390, 844), (1280, 900)], indirect=True)
@pytest.mark.parametrize("where", ["install", "commission", "sheets/commissioning", "sheets/corrections"])
def test_nothing_is_out_of_place(screen: Screen, where: str) -> None:
    page = screen.open(where)
    page.evaluate("document.querySelectorAll('details.group').forEach((each) => { each.open = true; })")
    assert faults(page) == []
    assert screen.unexpected() == []
