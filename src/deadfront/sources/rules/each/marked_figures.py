"""Figures marked on a source that contradict each other or the system: which is wrong must be found out first."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.job.source_things import Source
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome

ID = "source.figures"
IDS = (ID,)
# Of volts times amperes: watts a little above by rounding, and no less than a low power factor leaves (from memory).
MOST, LEAST = Decimal("1.05"), Decimal("0.7")
NEAR = Decimal("0.1")
THREE_PHASE = "208Y/120 3ph 4w"
NOMINAL = {"120/240 1ph 3w": (120, 240), "208Y/120 1ph 3w": (120, 208), THREE_PHASE: (120, 208)}


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every source whose figures are there to be compared."""
    for source in facts.at.house.sources:
        yield from _volts(facts, source)
        yield from _watts(facts, source)


def _volts(facts: SourceFacts, source: Source) -> Iterator[Check]:
    """Its volts are among those of the system that it feeds."""
    nominal = NOMINAL.get(facts.at.house.service.system or "")
    if source.volts is None or nominal is None:
        return
    if any(abs(source.volts - each) <= NEAR * each for each in nominal):
        return
    yield from tell(ID, source.id, Outcome.CANNOT_TELL, facts.reach_of(source), "volts", facts.name_of(source),
                    cites=(facts.cite("listing_and_instructions"),), missing=(facts.lack(source, "volts"),),
                    volts=source.volts, low=Decimal(nominal[0]), high=Decimal(nominal[1]))  # fmt: skip


def _watts(facts: SourceFacts, source: Source) -> Iterator[Check]:
    """Volts times amperes are its watts, as far as a power factor lets them differ."""
    if source.volts is None or source.output_a is None or source.output_w is None:
        return
    apparent = source.volts * source.output_a
    phases = Decimal(3).sqrt() if facts.at.house.service.system == THREE_PHASE else Decimal(1)
    if LEAST * apparent <= source.output_w <= MOST * phases * apparent:
        return
    missing = tuple(facts.lack(source, each) for each in ("volts", "output_a", "output_w"))
    yield from tell(ID, source.id, Outcome.CANNOT_TELL, facts.reach_of(source), "watts", facts.name_of(source),
                    cites=(facts.cite("listing_and_instructions"),), missing=missing, volts=source.volts,
                    amperes=source.output_a, watts=source.output_w)  # fmt: skip
