"""The isolation page: the plan first, lines to tick, ticks that come late, other zones."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.web.conftest import Screen
from tests.web.looked import faults
from tests.web.start import Pages
from tests.web.test_browser import until

FULL = Path(__file__).parents[1] / "houses" / "full_house.toml"
PHONE = pytest.mark.parametrize("screen", [(390, 844)], indirect=True, ids=["phone"])


@pytest.fixture
def full(pages: Pages) -> Pages:
    """The pages on a house with solar, battery, generator and transfer switch."""
    pages.job = pages.desk.import_job(FULL).job_id
    return pages


def ticks(pages: Pages, step: str = "w-2ba") -> dict[str, str]:
    """Ticks on file of a work step."""
    job = pages.desk.open_job(pages.job).job
    return dict(next(each for each in job.work if each.id == step).ticks)


def send(pages: Pages, changes: object, zone: str = "w-2ba") -> int:
    """Ticks as the page sends them; the status that comes back."""
    data = {"zone": zone, "changes": changes if isinstance(changes, str) else json.dumps(changes)}
    return pages.client.post(f"/jobs/{pages.job}/isolation/ticks", data=data).status_code


def test_the_answer_stands_first_then_the_caution_then_the_order_of_the_procedure(full: Pages) -> None:
    text = full.get("/isolation?zone=w-2ba")
    order = ["How is the zone made dead?", "3 locks part it", "Only the test at the point of work", "DANGER",
             "Find every source", "Keep from starting", "Drop the load", ">Open<", "Lock and tag",
             "What stays live", ">Try<", "Prove dead", "Back to power"]  # fmt: skip
    places = [text.index(each) for each in order]
    assert places == sorted(places)
    assert 'aria-current="page"><a href="/jobs/' in text and "planned; test shows it dead" in text


def test_any_thing_can_be_marked_and_what_is_not_there_is_said(full: Pages) -> None:
    for zone in re.findall(r'<option value="([^"]+)"', full.get("/isolation")):
        assert "How is the zone made dead?" in full.get(f"/isolation?zone={zone}")
    assert full.client.get(f"/jobs/{full.job}/isolation?zone=p-zz").status_code == 404
    assert 'data-kept="here"' in full.get("/isolation?zone=p-1ma")
    service = full.get("/isolation?zone=service")
    assert "Whoever runs that must isolate it first" in service and "The utility opens ahead" in service


def test_ticks_are_kept_with_time_and_name_and_taken_back(full: Pages) -> None:
    full.client.cookies.set("who", "R.%20Alvarez")
    assert send(full, {"open/x-1pv": [True, "2026-05-12 14:03"], "drop": [True, "nonsense"]}) == 204
    assert ticks(full) == {"open/x-1pv": "2026-05-12 14:03, R. Alvarez", "drop": "2026-05-12, R. Alvarez"}
    assert "2026-05-12 14:03, R. Alvarez" in full.get("/isolation?zone=w-2ba")
    revision = full.revision
    assert send(full, {"nothing/there": [True, ""]}) == 204 and full.revision == revision
    assert send(full, {"drop": [False, ""]}) == 204 and list(ticks(full)) == ["open/x-1pv"]


def test_two_phones_do_not_wipe_each_others_ticks(full: Pages) -> None:
    assert send(full, {"drop": [True, "2026-05-12 14:00"]}) == 204
    assert send(full, {"try": [True, "2026-05-12 14:01"]}) == 204
    assert set(ticks(full)) == {"drop", "try"}


def test_without_scripts_the_form_keeps_what_is_ticked(full: Pages) -> None:
    data = {"zone": "w-2ba", "tick:drop": "on", "tick:try": "on"}
    answer = full.client.post(f"/jobs/{full.job}/isolation/ticks", data=data)
    assert answer.status_code == 200 and set(ticks(full)) == {"drop", "try"}
    full.client.post(f"/jobs/{full.job}/isolation/ticks", data={"zone": "w-2ba", "tick:try": "on"})
    assert set(ticks(full)) == {"try"}


@pytest.mark.parametrize("changes", ["", "[1]", '{"drop": true}', '{"drop": ["yes", 1]}', "{" * 2000])
def test_ticks_that_cannot_be_read_are_refused_in_words(full: Pages, changes: str) -> None:
    assert send(full, changes) == 422 and not ticks(full)


def test_ticks_of_no_step_are_not_found(full: Pages) -> None:
    assert send(full, {}, "w-zz") == 404 and send(full, {}, "p-1ma") == 404


def test_every_fact_that_the_plan_waits_for_leads_to_its_field(full: Pages) -> None:
    full.post("/facts", page="sources", path="before/s-1pv.inhibit", value="")
    text = full.get("/isolation?zone=w-2ba")
    (link,) = set(re.findall(r'class="to-fact" href="([^"]+)"', text))
    path, _, anchor = link.partition("#")
    assert f'id="{anchor}"' in full.client.get(path).text


def test_a_thing_is_made_part_of_the_zone_of_a_step(full: Pages) -> None:
    assert 'action="/jobs/' in full.get("/isolation?zone=p-2ga") and "Add it to that step" in full.get(
        "/isolation?zone=p-2ga"
    )
    sent = full.post("/isolation/zone", step="w-2ba", thing="m-1ut")
    assert sent.status_code == 200  # type: ignore[attr-defined]
    job = full.desk.open_job(full.job).job
    assert next(each for each in job.work if each.id == "w-2ba").zone == ("m-1ut",)
    assert "The utility opens ahead" in full.get("/isolation?zone=w-2ba")  # a meter is no disconnect
    for step, thing in (("w-zz", "m-1ut"), ("w-2ba", "m-zz")):
        assert full.post("/isolation/zone", step=step, thing=thing).status_code == 404  # type: ignore[attr-defined]


def test_it_speaks_spanish(full: Pages) -> None:
    full.client.post("/language", data={"language": "es", "back": "/"})
    text = full.get("/isolation?zone=w-2ba")
    assert "¿Cómo se deja la zona sin tensión?" in text and "Probar sin tensión" in text
    assert "isolation." not in re.sub(r"<[^>]+>", "", text)


@PHONE
def test_a_phone_in_a_basement_keeps_ticks_and_sends_them_when_the_line_is_back(screen: Screen) -> None:
    screen.pages.job = screen.pages.desk.import_job(FULL).job_id
    page = screen.open("isolation?zone=w-2ba")
    boxes = page.locator(".ticks-list label")
    assert all(boxes.nth(n).bounding_box()["height"] >= 48 for n in range(boxes.count()))  # type: ignore[index]
    page.context.set_offline(True)
    page.locator('[name="tick:drop"]').check()
    page.locator('[name="tick:open/x-1pv"]').check()
    until(page, "document.getElementById('ticks-said').textContent.startsWith('2 ')")
    assert not ticks(screen.pages)
    page.route("**/isolation/ticks", lambda route: route.abort())
    page.context.set_offline(False)
    page.reload()
    assert page.locator('[name="tick:drop"]').is_checked() and not ticks(screen.pages)  # kept over a reload
    page.unroute("**/isolation/ticks")
    page.evaluate("dispatchEvent(new Event('online'))")
    until(page, "!Object.keys(localStorage).some((key) => key.startsWith('ticks:'))")
    found = ticks(screen.pages)
    assert set(found) == {"drop", "open/x-1pv"} and all(
        re.match(r"\d{4}-\d\d-\d\d \d\d:\d\d", v) for v in found.values()
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert [e for e in screen.unexpected() if "ERR_INTERNET_DISCONNECTED" not in e and "ERR_FAILED" not in e] == []


@pytest.mark.parametrize("screen", [(390, 844), (1280, 900)], indirect=True, ids=["phone", "desktop"])
def test_the_page_is_sound_for_thumb_and_screen_reader(screen: Screen) -> None:
    screen.pages.job = screen.pages.desk.import_job(FULL).job_id
    for zone in ("w-2ba", "service", "p-1ma"):
        assert faults(screen.open(f"isolation?zone={zone}")) == []
