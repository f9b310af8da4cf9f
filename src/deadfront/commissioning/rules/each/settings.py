"""What the work leaves set: settings of breakers, equipment, shedding; which handles are off; what is out."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Asked
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, choice, fails, meets

TEST = TestKind("settings", 200, (Asked("settings_left", kind="text"), Asked("handles_left", kind="text"),
                choice("earlier_out", "out", "none was there", "still there")), photo=True, alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every panel that the work opens."""
    yield from facts.worked_in


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Written down with a photo; earlier metering gear is out, with its leads and its supply."""
    if readings["earlier_out"].choice == "still there":
        return fails("still_there")
    return meets()
