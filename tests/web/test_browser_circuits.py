"""The circuits in a real browser: a circuit added, its verdict seen to change; the site list under a thumb."""

from __future__ import annotations

from pathlib import Path

import pytest

from deadfront.app.demo import demo_text
from tests.web.conftest import Screen
from tests.web.looked import faults
from tests.web.test_browser import settled, until

PHONE = pytest.mark.parametrize("screen", [(390, 844)], indirect=True, ids=["phone"])
BOTH = pytest.mark.parametrize("screen", [(1280, 900), (390, 844)], indirect=True, ids=["desk", "phone"])


def demo(screen: Screen, folder: Path) -> None:
    """The example house in place of the small one."""
    (path := folder / "example.toml").write_text(demo_text(), encoding="utf-8")
    screen.pages.job = screen.pages.desk.import_job(path).job_id


@BOTH
@pytest.mark.parametrize(
    "where", ["circuits", "circuits/c-9pw", "site", "things/service", "things/h-1dt", "things/p-k3m"]
)
def test_nothing_bars_the_way(screen: Screen, tmp_path: Path, where: str) -> None:
    demo(screen, tmp_path)
    page = screen.open(where)
    page.evaluate("for (const fold of document.querySelectorAll('main details')) fold.open = true")
    assert faults(page) == []
    assert screen.unexpected() == []


@PHONE
def test_a_site_is_walked_with_one_thumb(screen: Screen, tmp_path: Path) -> None:
    demo(screen, tmp_path)
    page = screen.open("site")
    heights = page.evaluate("[...document.querySelectorAll('.yn button')].map(b => b.getBoundingClientRect().height)")
    assert len(heights) > 60 and min(heights) >= 48
    told = page.locator("#answer").inner_text()
    for name, answer in (("workmanlike", "yes"), ("bored_holes", "no"), ("fire_sealed", "yes")):
        page.locator(f"[id='{answer}-before/service.seen.{name}']").click()
    until(
        page,
        "document.querySelectorAll('.yn [aria-pressed=true][id*=workmanlike],"
        ".yn [aria-pressed=true][id*=bored_holes],.yn [aria-pressed=true][id*=fire_sealed]').length === 3",
    )
    settled(screen)
    seen = screen.pages.desk.open_job(screen.pages.job).job.before.service.seen
    assert (seen["workmanlike"], seen["bored_holes"], seen["fire_sealed"]) == ("yes", "no", "yes")
    assert page.locator("#answer").inner_text() != told, "the answer counts what is open or wrong"
    page.locator("[id='yes-before/service.seen.workmanlike']").click()
    until(page, "document.querySelectorAll('.yn [aria-pressed=true][id*=workmanlike]').length === 0")
    assert screen.unexpected() == []


def test_a_circuit_is_added_and_its_verdict_follows_its_facts(screen: Screen) -> None:
    page = screen.open("circuits")
    page.locator("#list-circuits summary").click()
    page.fill("#list-circuits [name=name]", "Well pump")
    page.select_option("#list-circuits [name=work]", "N")
    page.click("#list-circuits form button")
    page.wait_for_load_state()
    assert "Well pump" in page.locator("h1").inner_text()
    ident = page.url.rpartition("/")[2]

    def choose(name: str, value: str) -> None:
        page.locator(f"[id='w-4c1/{ident}.{name}']").select_option(value)
        settled(screen)

    choose("cable.size", "14")
    choose("cable.metal", "copper")
    field = page.locator(f"[id='w-4c1/{ident}.cable.type']")
    field.fill("NM-B")
    field.press("Tab")
    settled(screen)
    page.locator("details.many:has([name='value.attic']) summary").first.click()
    page.locator("[name='value.attic']").first.check()
    settled(screen)
    cable = screen.pages.desk.open_job(screen.pages.job).job.work[0].add.circuits[-1].cable
    assert (cable.size, cable.type, cable.runs) == ("14", "NM-B", ("attic",))
    screen.open("circuits")
    assert page.locator(f"#run-{ident}").count() == 1
    assert screen.unexpected() == []


def test_a_row_opens_by_a_click_anywhere_on_it_and_the_working_changes_with_the_facts(
    screen: Screen, tmp_path: Path
) -> None:
    demo(screen, tmp_path)
    page = screen.open("circuits")
    page.locator("#run-c-9pw .stands").click(force=True)  # the link of the row lies over it
    page.wait_for_load_state()
    assert page.url.endswith("/circuits/c-9pw") and "meets" in page.locator("#thing-answer").inner_text()
    page.locator("[id='w-4c2/c-9pw.cable.size']").select_option("10")
    until(page, "document.getElementById('thing-answer').innerText.includes('does not meet')")
    assert "10-2 NM-B" in page.locator("#thing-answer").inner_text()
    assert "does not meet" not in page.locator("#thing-worked").inner_text()
    page.locator("[id='w-4c2/c-9pw.cable.size']").select_option("8")
    until(page, "!document.getElementById('thing-answer').innerText.includes('does not meet')")
    assert screen.unexpected() == []
