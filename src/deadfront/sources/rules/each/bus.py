"""Every bus, feeder, tap and service that a source loads: one option of the code is met."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.results.sources import BusAnswer, OptionAnswer, either
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome

IDS = ("source.bus", "source.standby_bus", "source.feeder", "source.tap", "source.service")
WORST = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS, Outcome.NOT_APPLICABLE)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One check for each; of standby sources on one bus, the one for the worst of them."""
    standby: dict[str, BusAnswer] = {}
    for bus in facts.buses:
        if bus.kind == "bus" and bus.options[0].key == "alone":
            standby[bus.of] = min(bus, standby.get(bus.of, bus), key=lambda each: WORST.index(each.outcome))
        else:
            yield from _check(f"source.{bus.kind}", bus)
    for bus in standby.values():
        yield from _check("source.standby_bus", bus)


def _check(ident: str, bus: BusAnswer) -> Iterator[Check]:
    told = leading(bus)
    over = None if told.over is None else told.over.value
    missing = {each.path: each for option in bus.options for each in option.missing}
    how = bus.outcome.name.lower()
    if bus.outcome is Outcome.FAILS and (told.over is None or told.over.value.high == 0):
        how = "place"
    yield from tell(
        ident, bus.of, bus.outcome, bus.reach, how, bus.name, cites=told.cites, step=told.used,
        hazard=True, missing=tuple(missing.values()), remedy="ways" if told.ways else "none",
        option=told.name, over=over, ways=either(told.ways),
    )  # fmt: skip


def leading(bus: BusAnswer) -> OptionAnswer:
    """The option that speaks for a bus: the first that meets, else the one nearest to it."""
    usable = [each for each in bus.options if each.outcome is bus.outcome] or list(bus.options)
    if bus.outcome is not Outcome.FAILS:
        return usable[0]
    return min(usable, key=lambda each: (each.over is None, each.over.value.low if each.over else 0))
