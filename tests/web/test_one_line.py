"""The one-line on its page: drawn, moved by figures and by hand, put back, sent as a file, refused in words."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import pytest
from playwright.sync_api import Page

from deadfront.job.model import Nudge
from tests.web.conftest import Screen
from tests.web.looked import faults
from tests.web.start import Pages

FULL = Path(__file__).parents[1] / "houses" / "full_house.toml"


@pytest.fixture
def full(pages: Pages) -> Pages:
    """The pages on the house of all sources."""
    pages.job = pages.desk.import_job(FULL).job_id
    return pages


def kept(pages: Pages) -> dict[str, Nudge]:
    return dict(pages.desk.open_job(pages.job).job.choices.drawing)


def test_the_page_says_what_it_is_and_every_symbol_can_be_chosen(full: Pages) -> None:
    text = full.get("/one-line")
    assert 'class="one-line"' in text and 'role="group"' in text and "A drawing shows nothing dead" in text
    ids = re.findall(r'<g data-id="([^"]+)"', text)
    assert {"utility", "m-1ut", "p-1ma", "p-3bu", "t-1au", "s-2ge"} <= set(ids)
    assert re.findall(r'<option value="([^"]+)">', text) and set(ids) == set(
        re.findall(r'<option value="([^"]+)">', text[text.index('name="symbol"') :].partition("</select>")[0])
    )


def test_a_move_is_kept_added_up_undone_and_put_back(full: Pages) -> None:
    """12 and 8 to the right are 20; undone, 12; then all back."""
    for right, down in (("12", "-6.5"), ("8", "0")):
        assert full.post("/one-line/move", symbol="t-1au", right_pt=right, down_pt=down).status_code in (200, 303)
    assert kept(full) == {"t-1au": Nudge(right_pt=Decimal(20), down_pt=Decimal("-6.5"))}
    assert "20 pt to the right, -6.5 pt down" in full.get("/one-line")
    full.post("/walk/undo")
    assert kept(full) == {"t-1au": Nudge(right_pt=Decimal(12), down_pt=Decimal("-6.5"))}
    full.post("/one-line/move", symbol="p-1ma", right_pt="3", down_pt="")
    full.post("/one-line/move", back="t-1au")
    assert set(kept(full)) == {"p-1ma"}
    full.post("/one-line/move", back="all")
    assert kept(full) == {}


def test_a_move_of_nothing_makes_no_revision(full: Pages) -> None:
    before = full.revision
    full.post("/one-line/move", symbol="t-1au", right_pt="", down_pt="0")
    assert full.revision == before


@pytest.mark.parametrize(("form", "say"), [
    ({"symbol": "x-none", "right_pt": "4"}, "no symbol x-none"),
    ({"symbol": "t-1au", "right_pt": "far"}, "far is not a"),
    ({"symbol": "t-1au", "down_pt": "99999"}, "at most 2,000 pt"),
    ({"symbol": "t-1au", "down_pt": "NaN"}, "NaN is not"),
    ({"symbol": "<b>", "down_pt": "1"}, "no symbol &lt;b&gt;"), ({"symbol": "t-1au", "down_pt": "1e9"}, "1e9 is not"),
])  # fmt: skip
def test_what_cannot_be_is_said_and_nothing_is_kept(full: Pages, form: dict[str, str], say: str) -> None:
    answer = full.post("/one-line/move", **form)
    assert answer.status_code == 422 and say in answer.text.replace("\n", " ")
    assert kept(full) == {}


def test_what_lies_over_something_since_it_was_moved_is_said(full: Pages) -> None:
    assert "lies over something else" not in full.get("/one-line")
    full.post("/one-line/move", symbol="t-1au", right_pt="-260", down_pt="0")
    assert "lies over something else" in full.get("/one-line")


def test_files_are_sent_with_their_kind(full: Pages) -> None:
    for form, begins in (("svg", b"<svg"), ("pdf", b"%PDF"), ("dxf", b"  0\n")):
        answer = full.client.get(f"/jobs/{full.job}/one-line.{form}")
        assert answer.status_code == 200 and answer.content.startswith(begins)
        assert f'one-line.{form}"' in answer.headers["content-disposition"]
    assert full.client.get(f"/jobs/{full.job}/one-line.exe").status_code == 404


def test_a_house_of_which_nothing_is_known_has_a_drawing(pages: Pages) -> None:
    assert "?" in pages.get("/one-line")


# --- in the browser ----------------------------------------------------------------------------------------------
BOTH = pytest.mark.parametrize("screen", [(1500, 1000), (390, 844)], indirect=True, ids=["desk", "phone"])


def opened(screen: Screen) -> Page:
    """The page on the house of all sources."""
    screen.pages.job = screen.pages.desk.import_job(FULL).job_id
    page = screen.open("one-line")
    page.wait_for_load_state("networkidle")
    return page


@BOTH
def test_nothing_bars_the_way(screen: Screen) -> None:
    page = opened(screen)
    assert faults(page) == []
    assert screen.unexpected() == []


@BOTH
def test_a_symbol_is_dragged_and_what_hangs_from_it_comes_along(screen: Screen) -> None:
    """30 and 24 pixels of the screen, in points of the drawing at full size: by its width and its scale."""
    page = opened(screen)
    symbol = page.locator('[data-id="t-1au"]')
    symbol.scroll_into_view_if_needed()
    box = symbol.bounding_box()
    assert box is not None
    wide = page.eval_on_selector("svg.one-line", "e => e.viewBox.baseVal.width / e.getBoundingClientRect().width")
    scale = float(page.locator("#one-line").get_attribute("data-scale") or "")
    page.mouse.move(box["x"] + 3, box["y"] + 3)
    page.mouse.down()
    page.mouse.move(box["x"] + 33, box["y"] + 27, steps=4)
    for name in ("t-1au", "p-3bu", "s-2ge"):
        assert page.locator(f'[data-id="{name}"]').get_attribute("transform") is not None, name
    assert page.locator('[data-id="p-1ma"]').get_attribute("transform") is None
    page.mouse.up()
    page.locator("#one-line-moved li").wait_for()
    found = kept(screen.pages)["t-1au"]
    assert abs(float(found.right_pt) - 30 * wide / scale) < 0.2 and abs(float(found.down_pt) - 24 * wide / scale) < 0.2
    assert screen.unexpected() == []


def test_arrow_keys_move_and_the_symbol_keeps_the_focus(screen: Screen) -> None:
    """Three presses of 4 points to the right, one downward, sent together; one more goes back 4."""
    page = opened(screen)
    before = screen.pages.revision
    page.locator('[data-id="s-2ge"]').focus()
    for key in ("ArrowRight", "ArrowRight", "ArrowRight", "ArrowDown"):
        page.keyboard.press(key)
    page.locator("#one-line-moved li").wait_for()
    assert kept(screen.pages) == {"s-2ge": Nudge(right_pt=Decimal(12), down_pt=Decimal(4))}
    assert screen.pages.revision == before + 1
    assert page.evaluate("document.activeElement.dataset.id") == "s-2ge"
    page.keyboard.press("ArrowLeft")
    page.locator("#one-line-moved li", has_text="8 pt to the right").wait_for()
    assert kept(screen.pages)["s-2ge"].right_pt == 8
    assert screen.unexpected() == []


def test_a_move_on_a_page_that_is_old_is_not_kept(screen: Screen) -> None:
    page = opened(screen)
    screen.pages.post("/one-line/move", symbol="p-1ma", right_pt="4", down_pt="")
    page.locator('[data-id="s-2ge"]').focus()
    with page.expect_navigation():
        page.keyboard.press("ArrowRight")
    assert set(kept(screen.pages)) == {"p-1ma"}
    assert "Main panel" in page.locator("#one-line-moved li").inner_text()
