"""The page Install by plain forms: the work in its order, as found first, the torque log terminal by terminal.

Expected figures: hand; a terminal marked 36 lbf-in and clicked at 36 lbf-in is tightened to its target.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.web.made_records import with_work
from tests.web.start import Pages
from tests.web.test_commission import form_of, post, records, text_of


@pytest.fixture(autouse=True)
def _work(pages: Pages, tmp_path: Path) -> None:
    with_work(pages, tmp_path)


def test_as_found_comes_before_the_work_and_the_log(pages: Pages) -> None:
    said = text_of(pages.get("/install"))
    assert re.search(r"Before anything is touched: \d panels? (is|are) not written down as found\.", said)
    assert said.index("As found") < said.index("The work, step by step") < said.index("Torque log")
    assert "(N) breaker in 2" in said and "(N) Workshop" in said, "things by their names, not by ids"
    assert "Verify before touch; label may be wrong." in said


def test_earlier_metering_gear_asks_how_it_comes_out(pages: Pages) -> None:
    form = form_of(pages, "as_found.p-1aa.found", "install")
    post(pages, "/records", {**form, "f.readings.photographed": "yes", "f.readings.handles_off": "none",
                             "f.readings.earlier_gear": "yes"})  # fmt: skip
    said = text_of(pages.get("/install"))
    assert "metering gear is there; how it comes out is not written down" in said
    (found,) = records(pages)
    assert found in pages.desk.open_job(pages.job).job.before.records, "as found stands before the work"


def test_a_terminal_by_its_marking_and_a_blank_line_for_one_more(pages: Pages) -> None:
    page = pages.get("/install")
    assert "load terminal" in page and "One more terminal" in page
    form = form_of(pages, "terminal-b-1aa-1", "install")
    answer = post(
        pages, "/records", {**form, "f.who": "J. R.", "f.marked_lbf_in": "3 lbf-ft", "f.applied_lbf_in": "36"}
    )
    assert answer.status_code == 303  # type: ignore[attr-defined]
    said = text_of(pages.get("/install"))
    assert "Target 36 lbf-in" in said and "load terminal: 36 lbf-in, asked 36." in said
    (entry,) = [each for step in pages.desk.open_job(pages.job).job.work for each in step.add.torques]
    assert (entry.applied_lbf_in, entry.tool, entry.terminal) == (36, "ins-3t", "load terminal")


def test_off_its_target_is_wrong_and_leads_there(pages: Pages) -> None:
    post(pages, "/records", {**form_of(pages, "terminal-b-1aa-1", "install"), "f.marked_lbf_in": "36",
                             "f.applied_lbf_in": "20"})  # fmt: skip
    page = pages.get("/install")
    assert f'href="/jobs/{pages.job}/install#group-torque-b-1aa"' in page and 'id="group-torque-b-1aa"' in page
    assert "Not yet." in text_of(page)


def test_settings_as_left_want_a_photo_and_the_earlier_gear_out(pages: Pages) -> None:
    form = form_of(pages, "settings.p-1aa.left", "install")
    post(pages, "/records", {**form, "f.readings.settings_left": "none to set", "f.readings.handles_left": "none",
                             "f.readings.earlier_out": "still there"})  # fmt: skip
    assert "earlier metering gear is still there" in text_of(pages.get("/install"))


def test_a_house_without_work_says_so(pages: Pages, tmp_path: Path) -> None:
    (path := tmp_path / "bare.toml").write_text('[job]\nformat = 1\nname = "Bare"\ncode.edition = "2023"\n', "utf-8")
    pages.job = pages.desk.import_job(path).job_id
    assert "No work is entered, so no terminal is due." in text_of(pages.get("/install"))
    assert "No work is entered, so nothing is left to test after it." in text_of(pages.get("/commission"))
