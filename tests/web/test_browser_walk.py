"""Twenty-four current transformers proved on a phone: typed by the keyboard alone, keystrokes counted.

Expected verdicts: independent; the readings come from the wiring by Kirchhoff's law, not from the proof.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from deadfront.job.write import write_job
from tests.metering.metered import GOOD, job
from tests.metering.test_recorded_walk import BRANCHES, leg_of, metered, walked
from tests.web.conftest import Screen
from tests.web.looked import faults
from tests.web.start import Pages
from tests.web.test_browser_records import sent
from tests.web.test_commission import directory, with_channels

MOST_KEYS = 24 * 3 * 7  # three readings a line of at most five digits, Enter, and room for one more
MOST_MS = 100


@pytest.fixture(autouse=True)
def _metered(pages: Pages, tmp_path: Path) -> None:
    breakers = [{"id": f"b-x{i:02d}", "panel": "p-aa1", "spaces": [i + 1], "rating_a": 20, "poles": 1}
                for i in range(BRANCHES)]  # fmt: skip
    circuits = [{"id": f"c-x{i:02d}", "name": f"Circuit {i + 1}", "breaker": f"b-x{i:02d}"} for i in range(BRANCHES)]
    channels = [{**GOOD, "id": f"ch-x{i:02d}", "name": f"CT {i + 1}", "input": str(i + 1), "measures": f"c-x{i:02d}",
                 "leg": leg_of(i + 1), "voltage_leg": leg_of(i + 1)} for i in range(BRANCHES)]  # fmt: skip
    channels += [{**GOOD, "id": f"ch-m{n}", "name": f"Mains L{n}", "input": f"M{n}", "measures": "service",
                  "role": "mains", "leg": f"L{n}", "voltage_leg": f"L{n}", "rating_a": 200, "primary_a": 200,
                  "set_primary_a": 200} for n in (1, 2)]  # fmt: skip
    (path := tmp_path / "metered.toml").write_text(write_job(job(channels, breakers=breakers, circuits=circuits)),
                                                    encoding="utf-8")  # fmt: skip
    pages.job = pages.desk.import_job(path).job_id


@pytest.mark.parametrize("screen", [(390, 844)], indirect=True)
def test_twenty_four_channels_by_the_keyboard(screen: Screen, capsys: pytest.CaptureFixture[str]) -> None:
    page = screen.open("commission")
    records = walked(metered(), turned=("ch-x05",))
    page.fill("[data-walk-watts]", "1500")
    page.press("[data-walk-watts]", "Enter")
    page.evaluate(
        """() => { window.times = []; const send = window.fetch; window.fetch = async (...all) => {
        const began = performance.now(); const answer = await send(...all);
        if (String(all[0]).endsWith("/walk")) window.times.push(performance.now() - began); return answer; }; }"""
    )
    for record in records:
        here = page.evaluate("document.activeElement.form?.elements['key.thing'].value")
        assert here == record.thing, "Enter goes on to the next line by itself"
        for name in ("off", "on", "meanwhile"):
            page.keyboard.type(record.readings[name])
            page.keyboard.press("Enter")
    expect(page.locator("#walk-told")).to_contain_text("23 proved right, 1 proved wrong, 0 open.")
    expect(page.locator('[id="said-walk-ch-x05"]')).to_contain_text("CT 6")
    sent(page)
    count = page.locator("#walk-count").inner_text()
    keys = int(count.split()[0].replace(",", ""))
    times = sorted(page.evaluate("window.times"))
    with capsys.disabled():
        print(
            f"\n24 channels: {count}; verdict of all lines {times[len(times) // 2]:.0f} ms, at most {times[-1]:.0f} ms"
        )
    assert keys <= MOST_KEYS
    assert times[len(times) // 2] < MOST_MS
    steps = screen.pages.desk.open_job(screen.pages.job).job.work
    kept = {each.thing: each.readings for step in steps for each in step.add.records}
    assert kept == {each.thing: each.readings for each in records}
    page.reload()
    expect(page.locator("#walk-told")).to_contain_text("23 proved right, 1 proved wrong, 0 open.")
    assert screen.unexpected() == []


@pytest.mark.parametrize("screen", [(390, 844)], indirect=True)
def test_channels_of_no_circuit_fill_the_directory_as_they_are_walked(screen: Screen, tmp_path: Path) -> None:
    bare = {key: value for key, value in GOOD.items() if key not in ("measures", "leg")}
    with_channels(screen.pages, tmp_path, *({**bare, "id": f"ch-x{n}", "input": str(n), "name": f"CT {n}"}
                                            for n in (1, 2)))  # fmt: skip
    page = screen.open("commission")
    page.fill("[data-walk-watts]", "1500")
    for n, read in ((1, ("10", "1510", "20")), (2, ("20", "1520", "10"))):  # hand: only its own load shows
        page.select_option(f"#walk-ch-x{n}-circuit", f"c-x{n}")
        for name, value in zip(("off", "on", "meanwhile"), read, strict=True):
            page.fill(f"#walk-ch-x{n}-{name}", value)
            page.press(f"#walk-ch-x{n}-{name}", "Enter")
    button = page.locator("#keep-ch-x1 button")
    expect(button).to_be_visible()  # without a new page
    sent(page)
    box = button.bounding_box()
    assert box is not None and box["height"] >= 48 and box["width"] >= 48
    expect(page.locator("#keep-ch-x1")).to_contain_text("CT 1: found on Circuit 1, L1; the plan has no conductor.")
    assert faults(page) == []
    button.click()
    expect(page.locator("#keep-ch-x1")).to_have_count(0)
    expect(page.locator("#keep-ch-x2")).to_be_visible()
    assert directory(screen.pages) == {"ch-x1": ("c-x1", "CT 1"), "ch-x2": (None, "CT 2")}
    assert screen.unexpected() == []
