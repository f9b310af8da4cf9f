"""The survey under a thumb, lines in brief; typed back; on paper; where a fact comes from: in a real browser."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from deadfront.app.demo import demo_text
from tests.web.conftest import Screen
from tests.web.test_browser import settled, until

PHONE = pytest.mark.parametrize("screen", [(390, 844)], indirect=True, ids=["phone"])


@PHONE
def test_the_example_house_is_short_on_a_phone(screen: Screen, tmp_path: Path) -> None:
    path = tmp_path / "example.toml"
    path.write_text(demo_text(), encoding="utf-8")
    screen.pages.job = screen.pages.desk.import_job(path).job_id
    house = screen.pages.desk.open_job(screen.pages.job).job.before
    assert (len(house.circuits), len(house.loads)) == (24, 18)
    page = screen.open("survey")
    assert page.evaluate("document.documentElement.scrollHeight") < 6000
    heights = page.evaluate("[...document.querySelectorAll('.entry .row.work-E')].filter(r => r.offsetParent)"
                            ".map(r => r.getBoundingClientRect().height)")  # fmt: skip
    assert len(heights) > 40 and all(47.5 <= each <= 56 for each in heights), "a line is one button of two lines"
    assert screen.unexpected() == []


@PHONE
def test_a_line_opens_on_a_tap_and_by_keyboard_and_keeps_what_is_typed(screen: Screen) -> None:
    page = screen.open("survey")
    row = page.locator("#thing-l-2xf")
    field, button = row.locator("[name=nameplate]"), row.locator("[data-open]")
    assert not field.is_visible() and "12000 W" in button.inner_text()
    button.click()
    assert field.is_visible() and button.get_attribute("aria-expanded") == "true"
    assert page.evaluate("document.activeElement.name") == "what"
    page.route("**/rows/**", lambda route: route.abort())
    field.fill("9 kW")
    field.press("Tab")
    page.wait_for_selector("#lost:not([hidden])")
    page.unroute("**/rows/**")
    button.press("Enter")
    assert not field.is_visible() and "9 kW" in button.inner_text() and field.input_value() == "9 kW"
    button.press("Space")
    assert field.is_visible()
    page.click("#lost [data-again]")
    until(page, "!document.querySelector('.unsaved')")
    settled(screen)
    assert str(screen.pages.desk.open_job(screen.pages.job).job.before.loads[0].nameplate_w) == "9000"
    assert [e for e in screen.unexpected() if "ERR_FAILED" not in e and "Failed to fetch" not in e] == []


@PHONE
def test_a_new_line_by_thumb_and_a_link_into_a_closed_line(screen: Screen) -> None:
    page = screen.open("survey")
    row = page.locator("#table-loads tbody.blank").first
    row.locator("[data-open]").click()
    row.locator("[name=what]").fill("dryer")
    row.locator("[name=nameplate]").fill("5 kW")
    row.locator("[name=nameplate]").press("Enter")
    settled(screen)
    assert screen.pages.desk.open_job(screen.pages.job).job.before.loads[-1].kind == "dryer"
    assert page.evaluate("document.activeElement.closest('tbody').classList.contains('open')"), "on to the next line"
    page.goto("about:blank")
    screen.open("survey#before/l-2xf.volts")
    until(page, "document.activeElement.name === 'volts'")
    assert screen.unexpected() == []


def test_typed_back_is_not_unsaved(screen: Screen) -> None:
    page = screen.open("survey")
    field = page.locator("#table-panels [name=bus]").first
    field.fill("126 A")
    assert page.locator(".unsaved").count() == 1
    field.fill("125 A")
    assert page.locator(".unsaved").count() == 0
    field.fill("200 A")
    field.press("Tab")
    settled(screen)
    field.fill("125 A")
    assert page.locator(".unsaved").count() == 1, "200 A stands on file now"
    field.fill("200 A")
    assert page.locator(".unsaved").count() == 0
    page.reload()
    assert page.locator(".unsaved").count() == 0 and field.input_value() == "200 A"
    assert screen.unexpected() == []


def test_on_paper_everything_folded_away_is_open(screen: Screen) -> None:
    page = screen.open("load")
    page.check("#made-nothing_else_connected")
    until(page, "document.querySelectorAll('details[data-fold]').length > 0")
    settled(screen)
    closed = page.locator("#worked-sheet details:not([open])").count()
    assert closed > 0
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.locator("#worked-sheet details:not([open])").count() == 0
    empty = "[...document.querySelectorAll('#worked-sheet .fold')].filter(f => !f.querySelector('table')).length"
    assert page.evaluate(empty) == 0, "what was not here was fetched"
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.locator("#worked-sheet details:not([open])").count() == closed
    assert screen.unexpected() == []


def test_origins_names_and_facts_that_follow(screen: Screen) -> None:
    page = screen.open("survey")
    page.locator("[name=who][hx-post]").fill("R. Alvarez")
    page.locator("[name=who][hx-post]").press("Tab")
    until(page, "!document.querySelector('.htmx-request')")
    assert page.locator(".origin [name=who]").first.input_value() == "R. Alvarez"
    page.reload()
    assert page.locator("[name=who][hx-post]").input_value() == "R. Alvarez"
    origin = page.locator(".sourced:has([id='before/service.disconnect.rating_a']) .origin")
    origin.locator("summary").click()
    origin.locator("select").select_option("seen")
    told = "document.getElementById('origin-before/service.disconnect.rating_a').innerText"
    until(page, told + ".startsWith('seen, R.')")
    page.locator("[id='before/service.conductors.needs_correction']").select_option("yes")
    page.wait_for_selector("[id='before/service.conductors.corrected_ampacity_a']")
    field = page.locator("[id='before/service.conductors.corrected_ampacity_a']")
    field.fill("85")
    field.press("Tab")
    settled(screen)
    job = screen.pages.desk.open_job(screen.pages.job).job
    assert str(job.before.service.conductors.corrected_ampacity_a) == "85"
    assert {row.who for row in screen.pages.desk.history(screen.pages.job)[:3]} == {"R. Alvarez"}
    assert screen.unexpected() == []


def test_a_system_its_loads_and_a_second_step(screen: Screen) -> None:
    page = screen.open("survey")
    page.click("#systems .adding summary")
    page.fill("#systems .adding [name=name]", "Garage")
    page.click("#systems .adding button")
    page.wait_for_load_state()
    page.click("#systems .ticks summary")
    page.check("#systems [name='load.l-5rt']")
    end = time.monotonic() + 8
    while screen.pages.desk.open_job(screen.pages.job).job.work[0].add.energy_management[0].controls != ("l-5rt",):
        assert time.monotonic() < end
        page.wait_for_timeout(30)
    page.click("#work-steps .adding summary")
    page.fill("#work-steps .adding [name=say]", "Heat pump")
    page.click("#work-steps .adding button")
    page.wait_for_load_state()
    assert page.locator("#work-steps li").count() == 2
    row = page.locator("#table-loads tbody.blank").first
    row.locator("[name=what]").fill("dryer")
    row.locator("[name=work]").select_option(label="new: Heat pump")
    settled(screen)
    assert [load.kind for load in screen.pages.desk.open_job(screen.pages.job).job.work[1].add.loads] == ["dryer"]
    assert screen.unexpected() == []
