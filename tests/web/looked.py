"""How a page is looked at: whether anything runs over the side, is too small for a thumb, or bars a screen reader."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page

AXE = (Path(__file__).parent / "axe" / "axe-4.14.1.min.js").read_text(encoding="utf-8")
TARGETS = (
    "input:not([type=hidden],[type=radio],[type=checkbox]), select, .plain, .go, "
    ".phone a, .undo button, label.pick, summary"
)
NARROW = 900


def faults(page: Page) -> list[str]:
    """What is wrong with the page as it is shown: the side, targets on a narrow screen, axe (WCAG 2.2 AA)."""
    found: list[str] = []
    if not page.evaluate("document.documentElement.scrollWidth <= innerWidth"):
        found.append("runs over the side")
    if page.viewport_size["width"] < NARROW:  # type: ignore[index]
        found += page.evaluate(
            "targets => [...document.querySelectorAll(targets)].filter(e => e.offsetParent"
            " && e.getBoundingClientRect().height < 47.5).map(e => e.outerHTML.slice(0, 90))",
            TARGETS,
        )
    page.evaluate(AXE)
    found += page.evaluate(
        "async () => (await axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})).violations"
        ".map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160)).join(' | '))"
    )
    return found
