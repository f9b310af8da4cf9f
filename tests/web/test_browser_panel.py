"""The panel in a real browser: a breaker dragged, tapped, carried by key; judged on the way; kept; nothing in the way.

Expected figures: hand. Kitchen 15 A, den 10 A, hall 2 A stand on L1; with the kitchen on L2: 3 A apart.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page

from tests.panel.houses import breaker, house
from tests.web.conftest import Screen
from tests.web.looked import faults
from tests.web.test_browser import until
from tests.web.test_browser_circuits import BOTH, PHONE, demo

UNEVEN = [breaker("rng", "1, 3", 9600, poles=2, name="Range"), breaker("kit", "2", 1800, name="Kitchen"),
          breaker("den", "5", 1200, name="Den"), breaker("hal", "6", 240, "fixed = true", name="Hall")]  # fmt: skip


def opened(screen: Screen, folder: Path, *, query: str = "", text: str = "") -> Page:
    """The panel page of the house with uneven legs."""
    (path := folder / "uneven.toml").write_text(text or house(*UNEVEN), encoding="utf-8")
    screen.pages.job = screen.pages.desk.import_job(path).job_id
    return screen.open(f"panel{query}")


def shown(page: Page, what: str) -> Locator:
    """Something of the elevation that is shown: the one for a desk or the one for a phone."""
    return page.locator(f".live svg {what}").locator("visible=true")


def at(page: Page, what: str) -> tuple[float, float]:
    """The middle of it, once it is in view."""
    shown(page, what).first.scroll_into_view_if_needed()
    box = shown(page, what).first.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def said(page: Page, words: str, where: str = "panel-said") -> None:
    """Wait for words of the judge."""
    until(page, f"document.getElementById('{where}').innerText.includes({words!r})")


def moved(screen: Screen) -> dict[str, object]:
    """The moves of the work as they are kept."""
    work = screen.pages.desk.open_job(screen.pages.job).job.work
    return {ident: list(fields["spaces"]) for step in work for ident, fields in step.move.items()}


def test_a_breaker_is_dragged_judged_on_the_way_kept_and_undone(screen: Screen, tmp_path: Path) -> None:
    page = opened(screen, tmp_path)
    x, y = at(page, '[data-breaker="b-kit"]')
    over, down = at(page, '.target[data-space="5"]'), at(page, '.target[data-space="4"]')
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(*over, steps=6)
    said(page, "said to be in the same space, 5", "panel-live")
    assert page.locator(".ghost.bad").count() == 1
    page.mouse.move(*down, steps=6)
    said(page, "each stands where it may", "panel-live")
    assert page.locator(".ghost.bad").count() == 0 and "differ by 3\u00a0A" in page.locator("#panel-live").inner_text()
    assert "all loads on: legs 3\u00a0A apart" in page.locator("#panel-live").inner_text().replace(" A", "\u00a0A")
    assert abs(at(page, '.target[data-space="4"]')[1] - down[1]) < 1, "the picture stands still under the hand"
    page.mouse.up()
    said(page, "1 breaker elsewhere: each stands where it may.")
    assert "b-kit%3D4" in page.url and moved(screen) == {}, "nothing is kept yet"
    assert "Move Kitchen from 2 to 4." in page.locator(".moves").inner_text()
    page.click("#keep")
    page.wait_for_load_state()
    assert moved(screen) == {"b-kit": [4]} and "Leave as found" in page.locator(".answer").inner_text()
    page.click(".undo button >> nth=0")
    page.wait_for_load_state()
    assert moved(screen) == {}
    assert screen.unexpected() == []


def test_a_breaker_of_two_poles_goes_by_the_row_it_was_taken_by(screen: Screen, tmp_path: Path) -> None:
    page = opened(screen, tmp_path, text=house(UNEVEN[0]))
    x, y = at(page, '.target[data-space="3"]')
    page.mouse.move(x - 20, y)
    page.mouse.down()
    page.mouse.move(*at(page, '.target[data-space="8"]'), steps=6)
    page.mouse.up()
    said(page, "1 breaker elsewhere")
    assert "b-rng%3D6%2C8" in page.url


def test_a_drag_that_ends_beside_the_panel_changes_nothing(screen: Screen, tmp_path: Path) -> None:
    page = opened(screen, tmp_path)
    page.mouse.move(*at(page, '[data-breaker="b-kit"]'))
    page.mouse.down()
    page.mouse.move(*at(page, '.target[data-space="7"]'), steps=4)
    page.mouse.move(5, 5, steps=4)
    page.mouse.up()
    until(page, "!document.querySelector('.ghost') && !document.querySelector('.up')")
    assert page.locator("#keep").count() == 0 and page.locator("#panel-live").is_hidden()


def test_by_keyboard_alone(screen: Screen, tmp_path: Path) -> None:
    page = opened(screen, tmp_path)
    shown(page, '[data-breaker="b-kit"]').focus()
    page.keyboard.press("ArrowDown")
    said(page, "each stands where it may", "panel-live")
    page.keyboard.press("ArrowDown")
    said(page, "said to be in the same space, 6", "panel-live")
    page.keyboard.press("Escape")
    until(page, "document.getElementById('panel-live').hidden")
    assert page.locator("#keep").count() == 0
    for key in ("ArrowDown", "ArrowLeft", "ArrowDown", "ArrowDown"):
        page.keyboard.press(key)
    said(page, "each stands where it may", "panel-live")
    page.keyboard.press("Enter")
    said(page, "1 breaker elsewhere")
    assert "b-kit%3D7" in page.url
    assert page.evaluate("document.activeElement.dataset.breaker") == "b-kit", "the hand stays on the breaker"
    assert shown(page, '[data-breaker="b-hal"]').get_attribute("tabindex") is None, "one that stays is not picked up"
    page.locator("#keep").press("Enter")
    page.wait_for_load_state()
    assert moved(screen) == {"b-kit": [7]} and screen.unexpected() == []


def test_two_change_places_in_one_try(screen: Screen, tmp_path: Path) -> None:
    page = opened(screen, tmp_path)
    for ident, target in (("b-kit", 5), ("b-den", 2)):
        box = shown(page, f'[data-breaker="{ident}"]').first.bounding_box()
        assert box is not None
        page.mouse.click(box["x"] + 30, box["y"] + box["height"] / 2)
        page.mouse.click(*at(page, f'.target[data-space="{target}"]'))
        until(page, f"document.getElementById('panel-draft').dataset.puts.includes('{ident}={target}')")
    said(page, "2 breakers elsewhere: each stands where it may.")
    assert len(page.locator(".moves li").all()) == 3, "one is set aside on the way"
    page.click("#keep")
    page.wait_for_load_state()
    assert moved(screen) == {"b-kit": [5], "b-den": [2]}


@PHONE
def test_with_a_thumb_a_tap_takes_it_and_a_tap_puts_it(screen: Screen, tmp_path: Path) -> None:
    page = opened(screen, tmp_path)
    shown(page, '[data-breaker="b-kit"]').click()
    until(page, "document.querySelectorAll('.breaker.up').length > 0")
    page.mouse.click(*at(page, '.target[data-space="4"]'))
    said(page, "1 breaker elsewhere: each stands where it may.")
    assert faults(page) == []
    page.click("#keep")
    page.wait_for_load_state()
    assert moved(screen) == {"b-kit": [4]} and screen.unexpected() == []


def test_a_breaker_without_a_space_is_carried_in(screen: Screen, tmp_path: Path) -> None:
    new = ('[[work]]\nid = "w-1aa"\nsay = "Sump"\nadd.breakers = [{ id = "b-new", panel = "p-k3m", rating_a = 20, '
           'poles = 1, name = "Sump" }]\n')  # fmt: skip
    page = opened(screen, tmp_path, text=house(*UNEVEN, more=new))
    page.click('#panel-waiting [data-breaker="b-new"]')
    page.mouse.click(*at(page, '.target[data-space="8"]'))
    said(page, "1 breaker elsewhere")
    page.click("#keep")
    page.wait_for_load_state()
    assert screen.pages.desk.open_job(screen.pages.job).job.work[0].add.breakers[0].spaces == (8,)


def test_the_search_runs_ends_by_itself_and_a_point_is_taken_over(screen: Screen, tmp_path: Path) -> None:
    pytest.importorskip("highspy", reason="the extra solve is not installed")
    page = opened(screen, tmp_path)
    page.click("#begin")
    page.locator(".t-curve").wait_for(timeout=60_000)
    assert faults(page) == []
    page.locator(".curve-picture svg a.point").locator("visible=true").last.click()
    page.wait_for_url("**point=30*")
    said(page, "1 breaker elsewhere: each stands where it may.")
    page.click("#keep")
    page.wait_for_load_state()
    assert moved(screen) == {"b-kit": [4]}
    assert "The layout for legs within 3 A is kept" in page.locator(".stale-search").inner_text()
    assert screen.unexpected() == []


@BOTH
@pytest.mark.parametrize("query", ["", "?puts=b-1dr=30", "?puts=b-7dw=24", "?breaker=b-7dw&spaces=x"])
def test_nothing_bars_the_way(screen: Screen, tmp_path: Path, query: str) -> None:
    demo(screen, tmp_path)
    value = [{"name": "Summer afternoon"}, {"name": "Own source, after shedding", "others": "off"}]
    screen.pages.desk.apply(screen.pages.job, 1, [{"do": "set", "path": "choices.panel_loads", "value": value}])
    page = screen.open(f"panel{query}")
    page.evaluate("for (const fold of document.querySelectorAll('main details')) fold.open = true")
    assert faults(page) == []
    assert screen.unexpected() == []


def test_figures_of_times_are_kept_as_they_are_left_and_what_is_refused_stays(screen: Screen, tmp_path: Path) -> None:
    """Hand: at night the kitchen's 4 A alone on L1: 4 A apart."""
    page = opened(screen, tmp_path)
    page.fill("#times form.new input[name=name]", "Night")
    page.click("#times form.new button")
    page.wait_for_load_state()
    page.select_option(".times [name=others]", "off")
    page.fill('.times [name="c.c-kit"]', "many")
    page.fill('.times [name="c.c-den"]', "0")
    until(page, "document.querySelector('.time-said').innerText.includes('many is not understood')")
    assert page.input_value('.times [name="c.c-kit"]') == "many"
    page.fill('.times [name="c.c-kit"]', "4 A")
    page.press('.times [name="c.c-kit"]', "Tab")
    until(page, "document.getElementById('panel-judged').innerHTML.includes('Night: legs 4')")
    loads = screen.pages.desk.open_job(screen.pages.job).job.choices.panel_loads
    assert {ident: str(value) for ident, value in loads[0].currents_a.items()} == {"c-kit": "4", "c-den": "0"}
    assert loads[0].others == "off" and "Leave as found" in page.locator("#panel-sheet .answer").inner_text()
    assert screen.unexpected() == []


@PHONE
def test_after_two_taps_the_verdict_and_keep_are_in_view(screen: Screen, tmp_path: Path) -> None:
    page = opened(screen, tmp_path)
    shown(page, '[data-breaker="b-kit"]').click()
    until(page, "document.querySelectorAll('.breaker.up').length > 0")
    page.mouse.click(*at(page, '.target[data-space="4"]'))
    said(page, "1 breaker elsewhere: each stands where it may.")
    for what in ("#panel-said", "#keep"):
        box, high = page.locator(what).bounding_box(), page.evaluate("innerHeight")
        assert box is not None and high / 2 < box["y"] < box["y"] + box["height"] <= high, (what, box)
    assert faults(page) == [] and screen.unexpected() == []
