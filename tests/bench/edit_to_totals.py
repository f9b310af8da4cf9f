"""How long an edit takes to its new totals on the screen, beyond the wait for the typing to pause."""

from __future__ import annotations

import statistics
import tempfile
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from deadfront.app import library
from tests.web.start import ARGS, CHROMIUM, Pages, served

DEBOUNCE_MS = 150
EDITS = 20
DEMO = Path(library.__file__).parent / "demo_house.toml"
WATCH = """() => {
  const answer = document.querySelector("#answer-sheet"), row = document.querySelector("#table-loads tbody.row");
  const field = row.querySelector("[name=nameplate]"), next = field.value.startsWith("31") ? "32 A" : "31 A";
  return new Promise((done) => {
    let begun = 0;
    const seen = new MutationObserver(() => requestAnimationFrame(() => {
      if (document.querySelector("#base").value === base) return;
      seen.disconnect();
      done(performance.now() - begun);
    }));
    const base = document.querySelector("#base").value;
    seen.observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true });
    field.value = next;
    begun = performance.now();
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
    void answer;
  });
}"""


def edit_to_totals_ms(edits: int = EDITS) -> float:
    """Median time [ms] from an edit on the load page to the new figures drawn, the debounce taken off."""
    return statistics.median(times_ms(edits))


def rows() -> Iterator[tuple[str, float, str, float, str, float | None]]:
    """The line of the bench: what, figure, unit, noise, in words, limit."""
    times = sorted(times_ms())
    noise = times[len(times) * 3 // 4] - times[len(times) // 4]
    told = f"median of {len(times)} edits, debounce of {DEBOUNCE_MS} ms taken off"
    yield "edit to new totals in the browser", statistics.median(times), "ms", noise, told, 100.0


def times_ms(edits: int = EDITS) -> list[float]:
    """Times [ms] from an edit on the load page to the new figures drawn, the debounce taken off."""
    with tempfile.TemporaryDirectory() as folder:
        pages = Pages(Path(folder))
        job = pages.desk.import_job(DEMO).job_id
        with served(pages.desk, pages.settings) as address, sync_playwright() as play:
            browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
            try:
                page = browser.new_page()
                page.goto(f"{address}/?key={pages.settings.key}")
                page.goto(f"{address}/jobs/{job}/load")
                return [_once(page) - DEBOUNCE_MS for _ in range(edits)]
            finally:
                browser.close()


def _once(page: Page) -> float:
    page.wait_for_load_state("networkidle")
    return float(page.evaluate(WATCH))


if __name__ == "__main__":
    print(f"{edit_to_totals_ms():.0f} ms")
