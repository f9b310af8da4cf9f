"""Radio signal at the panel with its cover on, against what the equipment's instructions ask."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Asked
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, meets, yes

TEST = TestKind("radio", 95, (yes("cover_on"), Asked("signal_dbm", "dBm", low=Decimal(-140), high=Decimal(0)),
                Asked("least_dbm", "dBm", low=Decimal(-140), high=Decimal(0))), before=("bus_voltage",),
                alone=True)  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """At every panel that holds gear reached by radio or by the house's network."""
    yield from dict.fromkeys(each.panel for each in facts.at.house.gear if each.panel is not None)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """At least what the instructions ask, with the cover on."""
    found, least = readings["signal_dbm"].mean, readings["least_dbm"].mean
    if not readings["cover_on"].yes:
        return fails("cover_off")
    return meets(found=found, least=least) if found >= least else fails("weak", found=found, least=least)
