"""The sources page in a real browser: nothing bars the way, and a fact typed on a thing's page ends its finding."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.web.conftest import Screen
from tests.web.looked import faults
from tests.web.test_browser import settled

FULL = Path(__file__).parents[1] / "houses" / "full_house.toml"
BOTH = pytest.mark.parametrize("screen", [(1280, 900), (390, 844)], indirect=True, ids=["desk", "phone"])


@BOTH
@pytest.mark.parametrize("where", ["sources", "things/t-1au", "things/g-1st", "things/s-1pv", "sheets/sources"])
def test_nothing_bars_the_way(screen: Screen, where: str) -> None:
    screen.pages.job = screen.pages.desk.import_job(FULL).job_id
    page = screen.open(where)
    page.evaluate("for (const fold of document.querySelectorAll('main details')) fold.open = true")
    assert faults(page) == []
    assert screen.unexpected() == []


def test_a_finding_leads_to_its_field_and_ends_there(screen: Screen) -> None:
    screen.pages.job = screen.pages.desk.import_job(FULL).job_id
    page = screen.open("sources")
    page.locator("#source-checks a", has_text="where its ground could be disconnected").click()
    field = page.locator("[id='w-1ge/s-2ge.bonding_sign']")
    field.select_option("yes")
    settled(screen)
    source = next(s for s in screen.pages.desk.open_job(screen.pages.job).job.work[0].add.sources if s.id == "s-2ge")
    assert source.bonding_sign is True
    page = screen.open("sources")
    assert page.locator("#source-checks a", has_text="where its ground could be disconnected").count() == 0
    assert screen.unexpected() == []
