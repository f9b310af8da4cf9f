"""The pages in a real browser: a house typed by keyboard, lists pasted, figures that follow, nothing lost."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from playwright.sync_api import Error, Page

from tests.web.conftest import Screen
from tests.web.looked import AXE, faults
from tests.web.start import served

CIRCUITS = "\n".join(
    [f"{n}, {n + 2}\tLarge {n}\t30\t10-3 NM\t{20 + n} ft\tplain" for n in (9, 10)]
    + [f"{n}\tOutlets {n}\t20\t12-2 NM\t{n} ft\tarc fault" for n in range(13, 51)]
)
LOADS = "\n".join(
    ["dryer\t9\t5 kW\t240", "water heater\t10\t4.5 kW\t240", "dishwasher\t13\t1200 W\t120", "disposal\t14\t1/3 hp\t120"]
    + [f"appliance, room {n}\t{n}\t{100 + n} W\t120" for n in range(15, 36)]
)


def until(page: Page, told: str, given: object = None) -> None:
    """Wait until something holds; asked from outside, as the page's own policy lets nothing be evaluated in it."""
    end = time.monotonic() + 8
    while True:
        try:
            if page.evaluate(told, given):
                return
        except Error as error:  # the page is being loaded again
            assert "context was destroyed" in str(error), error
        assert time.monotonic() < end, told
        time.sleep(0.02)


def paste(screen: Screen, table: str, text: str) -> None:
    """Paste a list into the first blank field of a table, as a spreadsheet hands it over."""
    screen.page.locator(f"#table-{table} tbody.blank input").first.focus()
    screen.page.evaluate(
        """text => { const data = new DataTransfer(); data.setData("text/plain", text);
        document.activeElement.dispatchEvent(new ClipboardEvent("paste",
        {clipboardData: data, bubbles: true, cancelable: true})); }""",
        text,
    )


def settled(screen: Screen) -> None:
    """Wait until every change has been answered."""
    until(screen.page, "!document.querySelector('.unsaved') && !document.querySelector('.htmx-request')")


def test_a_new_job_by_keyboard(screen: Screen) -> None:
    page = screen.open("/")
    until(page, "document.activeElement.name === 'name'")
    page.keyboard.type("9 Elm Ct")
    page.keyboard.press("Enter")
    page.wait_for_url("**/survey")
    assert "9 Elm Ct" in page.title()
    strokes = 0

    def key(text: str) -> None:
        nonlocal strokes
        for part in re.findall(r"\{\w+\}|.", text):
            page.keyboard.press(part[1:-1]) if len(part) > 1 else page.keyboard.type(part)
            strokes += 1

    page.locator("#table-circuits tbody.blank input").first.focus()
    for space, name in ((1, "Hall"), (2, "Den"), (3, "Bath"), (4, "Bed")):
        key(f"{space}{{Tab}}{name}{{Tab}}20{{Tab}}12-2 NM{{Enter}}")
    settled(screen)
    job = screen.pages.desk.open_job(page.url.split("/")[4]).job
    assert [c.name for c in job.before.circuits] == ["Hall", "Den", "Bath", "Bed"]
    assert [b.spaces for b in job.before.breakers] == [(1,), (2,), (3,), (4,)]
    assert strokes / 4 <= 20, "a circuit takes no more keys than its own letters and one between fields"
    assert screen.unexpected() == []


def test_forty_circuits_and_twenty_five_loads_are_pasted(screen: Screen) -> None:
    page = screen.open("survey")
    begun = time.monotonic()
    paste(screen, "circuits", CIRCUITS)
    page.wait_for_selector("#paste-circuits [data-default]")
    assert "40 lines understood, 0 to correct" in page.inner_text("#paste-circuits")
    page.keyboard.press("Enter")
    until(page, "document.querySelectorAll('#table-circuits tbody.row:not(.blank)').length == 42")
    paste(screen, "loads", LOADS)
    page.wait_for_selector("#paste-loads [data-default]")
    assert "25 lines understood, 0 to correct" in page.inner_text("#paste-loads")
    page.keyboard.press("Enter")
    until(page, "document.querySelectorAll('#table-loads tbody.row:not(.blank)').length == 27")
    assert time.monotonic() - begun < 30
    house = screen.pages.desk.open_job(screen.pages.job).job.before
    assert len(house.circuits) == 41 and len(house.loads) == 26
    assert next(each for each in house.loads if each.kind == "dryer").circuit is not None
    assert screen.unexpected() == []


def test_an_edit_changes_the_figures_at_once(screen: Screen) -> None:
    page = screen.open("load")
    field = page.locator("#table-loads tbody.row input[name=nameplate]").first
    before = page.inner_text("#answer-sheet .ans")
    field.fill("48 A")
    field.press("Tab")
    until(page, "old => document.querySelector('#answer-sheet .ans').innerText != old", before)
    page.wait_for_selector(".changed", state="attached")  # what changed is underlined
    until(page, "!document.querySelector('.changed')")
    page.check("#rely-standard")
    until(page, "document.querySelector('#answer-sheet .ans').innerText.includes('tandard')")
    assert page.is_checked("#rely-standard")
    page.check("#made-nothing_else_connected")
    until(page, "document.querySelector('#line').innerText.includes('find out')")
    settled(screen)
    job = screen.pages.desk.open_job(screen.pages.job).job
    assert job.choices.rely_on == "standard" and job.assumptions == ("nothing_else_connected",)
    page.click("#shares button")
    page.wait_for_selector("#shares .t-shares tr")
    page.click("#worked-1 summary")
    page.wait_for_selector("#worked-1 .fold table")
    assert screen.unexpected() == []


def test_bad_entries_stay_and_are_said_in_the_line(screen: Screen) -> None:
    page = screen.open("survey")
    row = page.locator("#table-circuits tbody.blank").first
    row.locator("[name=spaces]").fill("11, 12")
    row.locator("[name=name]").fill("Counter")
    row.locator("[name=name]").press("Enter")
    page.wait_for_selector("#table-circuits .bad")
    first = page.locator("#table-circuits tbody.row:has(.bad)")
    assert "a two-pole breaker takes 11, 13 or 12, 14" in first.inner_text()
    assert first.locator("[name=spaces]").input_value() == "11, 12"
    first.locator("[name=spaces]").fill("11, 13")
    first.locator("[name=spaces]").press("Tab")
    until(page, "!document.querySelector('#table-circuits .bad')")
    settled(screen)
    assert screen.pages.desk.open_job(screen.pages.job).job.before.breakers[-1].spaces == (11, 13)
    assert screen.unexpected() == []


def test_fast_typing_over_many_lines_is_never_stale(screen: Screen) -> None:
    page = screen.open("survey")
    page.locator("#table-loads tbody.blank input").first.focus()
    for number in range(8):
        page.keyboard.type(f"appliance {number}")
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.type(f"{100 + number} W")
        until(page, "document.activeElement.closest('tbody').nextElementSibling?.matches('.row')")
        page.keyboard.press("Enter")
    settled(screen)
    loads = screen.pages.desk.open_job(screen.pages.job).job.before.loads
    assert [str(each.nameplate_w) for each in loads][1:] == [str(100 + n) for n in range(8)]
    assert page.locator("#clash *").count() == 0 and screen.unexpected() == []


def test_undo_from_any_page(screen: Screen) -> None:
    page = screen.open("survey")
    field = page.locator("#table-panels [name=bus]").first
    field.fill("200 A")
    field.press("Tab")
    settled(screen)
    page.click("nav.side .undo button >> nth=0")
    page.wait_for_load_state()
    assert page.locator("#table-panels [name=bus]").first.input_value() == "125 A"
    assert screen.unexpected() == []


def test_two_people_side_by_side(screen: Screen) -> None:
    page = screen.open("survey")
    pages = screen.pages
    pages.desk.apply(pages.job, pages.revision, [{"do": "set", "path": "before/p-k3m.bus_a", "value": 225}])
    field = page.locator("#table-panels [name=bus]").first
    field.fill("200 A")
    field.press("Tab")
    page.wait_for_selector("#clash form")
    assert "225" in page.inner_text("#clash") and "200" in page.inner_text("#clash")
    assert field.input_value() == "200 A", "what was typed is kept"
    until(page, "document.querySelector('#clash').getBoundingClientRect().top >= 0")
    page.check("#clash input[value=mine]")
    page.click("#clash button")
    page.wait_for_load_state()
    assert str(pages.desk.open_job(pages.job).job.before.panels[0].bus_a) == "200"
    assert screen.unexpected() == []


def test_what_was_typed_outlives_the_program(screen: Screen, tmp_path: Path) -> None:
    """The program stops while a line is typed: the page says so, keeps the line, and sends it when asked again."""
    page = screen.open("survey")
    page.route("**/rows/**", lambda route: route.abort())
    row = page.locator("#table-loads tbody.blank").first
    row.locator("[name=what]").fill("dryer")
    row.locator("[name=nameplate]").fill("5 kW")
    row.locator("[name=nameplate]").press("Tab")
    page.wait_for_selector("#lost:not([hidden])")
    page.unroute("**/rows/**")
    page.reload()
    held = page.locator("#table-loads tbody.unsaved").first
    assert held.locator("[name=nameplate]").input_value() == "5 kW"
    held.locator("[name=nameplate]").dispatch_event("change")
    settled(screen)
    assert screen.pages.desk.open_job(screen.pages.job).job.before.loads[-1].kind == "dryer"


def test_a_restart_keeps_everything_and_changes_the_key(screen: Screen) -> None:
    from tests.web.start import Pages  # noqa: F401
    from tests.web.start import settings as new_settings

    page = screen.open("survey")
    page.locator("#table-panels [name=bus]").first.fill("200 A")
    page.locator("#table-panels [name=bus]").first.press("Tab")
    settled(screen)
    with served(screen.pages.desk, new_settings()) as again:
        answer = page.goto(f"{again}/jobs/{screen.pages.job}/survey")
        assert answer is not None and answer.status == 403
    page.goto(f"{screen.address}/jobs/{screen.pages.job}/survey")
    assert page.locator("#table-panels [name=bus]").first.input_value() == "200 A"


def test_markup_typed_never_runs(screen: Screen) -> None:
    page = screen.open("survey")
    row = page.locator("#table-circuits tbody.blank").first
    row.locator("[name=spaces]").fill("15")
    row.locator("[name=name]").fill("<img src=x onerror='document.title=1'><b id=evil>x</b>")
    row.locator("[name=name]").press("Enter")
    settled(screen)
    for path in ("survey", "load", "history"):
        screen.open(path)
        assert page.locator("#evil").count() == 0 and page.title() != "1"
    assert screen.unexpected() == []


def test_the_line_leads_to_the_field_that_ends_it(screen: Screen) -> None:
    page = screen.open("load")
    page.click("#line .go")
    page.wait_for_load_state()
    focused = page.evaluate("document.activeElement.id || document.activeElement.closest('[id]').id")
    assert focused and page.url.endswith("#" + focused)
    assert page.evaluate("document.activeElement.matches('input, select')")


@pytest.mark.parametrize("screen", [(390, 844), (1280, 900)], indirect=True, ids=["phone", "desk"])
def test_every_page_fits_and_is_accessible(screen: Screen) -> None:
    """Nothing runs over the side, targets are large under a thumb, and axe finds nothing (WCAG 2.2 AA)."""
    for path in ("survey", "things/l-5rt", "amendments", "load", "recordings", "packet", "history", "/", "/first-look",
                 "/book?q=220.55"):  # fmt: skip
        page = screen.open(path)
        assert faults(page) == [], path
    page.evaluate("document.querySelector('main').insertAdjacentHTML('beforeend', '<input>')")
    assert page.evaluate("async () => (await axe.run()).violations.length") > 0, "a planted fault is found"
    assert screen.unexpected() == []


def test_sunlight_is_black_on_white_and_kept(screen: Screen) -> None:
    page = screen.open("load")
    page.click("[data-sun]")
    page.reload()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.get_attribute("[data-sun]", "aria-pressed") == "true"
    page.evaluate(AXE)
    contrast = (
        "async () => (await axe.run({runOnly: ['color-contrast']})).violations.map(v => v.nodes.map(n => n.html))"
    )
    assert page.evaluate(contrast) == []
    assert screen.unexpected() == []
