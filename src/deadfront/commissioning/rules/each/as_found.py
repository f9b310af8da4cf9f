"""The panel before anything is touched: photos, handles, settings, and metering gear that is there already."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Asked
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, meets, yes

TEST = TestKind("as_found", 5, (yes("photographed"), Asked("handles_off", kind="text"), Asked("settings", kind="text",
                needed=False), yes("earlier_gear"), Asked("removal", kind="text", needed=False)), found=True,
                photo=True, cautions=("directory",), alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every panel there is before the work that the work opens; at all where there is no work."""
    for panel in facts.at.house.panels:
        if facts.at.tag(panel.id) != "N" and (panel.id in facts.worked_in or not facts.works):
            yield panel.id


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Written down; gear of an earlier metering system with how it comes out."""
    if not readings["photographed"].yes:
        return fails("no_photo")
    if readings["earlier_gear"].yes and not readings["removal"].known:
        return fails("no_removal")
    return meets("meets_gear" if readings["earlier_gear"].yes else "meets")
