"""A small load on a large current transformer is noise: from where on it is accurate, against the circuit's."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.job.metering_things import Channel
from deadfront.job.panel_things import Circuit
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.msg import said
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Severity

IDS = ("metering.low_load",)
HUNDREDTH = Decimal("0.01")


def checks(facts: Facts) -> Iterator[Check]:
    """Channels of loads; never more than a note."""
    for channel in facts.channels:
        circuit = facts.circuits_by_id.get(channel.measures or "")
        if circuit is not None and facts.role(channel) == "load":
            yield _check(facts, channel, circuit)


def _check(facts: Facts, channel: Channel, circuit: Circuit) -> Check:
    run = facts.runs.get(channel.measures or "")
    load = run.load if run is not None else None
    waits = facts.missing(channel, "rating_a", "accurate_from_percent")
    if load is None or not load.value.exact:
        waits = (*waits, *((load.all_missing() if load else ()) or (facts.ask(circuit, "load_va"),)))
    if load is None or channel.rating_a is None or channel.accurate_from_percent is None:
        return found(facts, IDS[0], channel, None, waits=waits, severity=Severity.NOTE)
    ident = f"metering.{channel.id}.floor"
    rated = build.fact(f"{ident}.rated", said("figure.metering.rated"), channel.rating_a, "A",
                       facts.at.path(channel, "rating_a"))  # fmt: skip
    part = build.fact(f"{ident}.part", said("figure.metering.from"), channel.accurate_from_percent * HUNDREDTH, "",
                      facts.at.path(channel, "accurate_from_percent"))  # fmt: skip
    floor = build.product(ident, said("figure.metering.floor"), [rated, part], unit="A")
    value = load.value
    truth = True if value.low >= floor.value.low else False if value.high is not None and (
        value.high < floor.value.low) else None  # fmt: skip
    return found(
        facts, IDS[0], channel, truth, waits=waits, step=floor, severity=Severity.NOTE, floor=floor.value, load=value
    )
