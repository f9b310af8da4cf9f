"""Transfer equipment withstands the fault current ahead of its normal side."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from deadfront.job.source_things import Transfer
from deadfront.quantities import UNKNOWN, Interval, point
from deadfront.results.circuits import FaultPoint
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.sources.rules.transfer.net import SERVICE
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.missing import Missing

ID = "transfer.fault_rating"
IDS = (ID,)
THOUSAND = Decimal(1000)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One for each piece of transfer equipment that is no interlock."""
    for transfer in facts.at.house.transfers:
        if transfer.kind != "interlock":
            yield from _check(facts, transfer)


def _check(facts: SourceFacts, transfer: Transfer) -> Iterator[Check]:
    place = _ahead(facts, transfer)
    largest = place.largest if place is not None else None
    available = largest.value if largest is not None else UNKNOWN
    rating = UNKNOWN if transfer.sccr_ka is None else point(transfer.sccr_ka)
    outcome, missing = Outcome.CANNOT_TELL, facts.missing(transfer, "sccr_ka")
    if transfer.sccr_ka is not None:
        outcome = at_most(available, point(transfer.sccr_ka * THOUSAND))
    if outcome is Outcome.CANNOT_TELL:
        missing = (*missing, *_waits(facts, transfer, largest is None, largest.all_missing() if largest else ()))
    yield from tell(ID, transfer.id, outcome, facts.reach_of(transfer), outcome.name.lower(), facts.name_of(transfer),
                    cites=(facts.cite("equipment_short_circuit"),), missing=missing, step=largest, hazard=True,
                    rating=rating, available=whole(available))  # fmt: skip


def whole(available: Interval) -> Interval:
    """Whole amperes, the ends outward."""
    high = available.high
    low = available.low.to_integral_value(rounding=ROUND_FLOOR)
    return Interval(low, None if high is None else high.to_integral_value(rounding=ROUND_CEILING))


def _ahead(facts: SourceFacts, transfer: Transfer) -> FaultPoint | None:
    """The fault current of the bus that feeds its normal side, through any switch between."""
    at, seen = transfer.normal, set()
    while at in facts.switches and at not in seen:
        seen.add(at)
        at = facts.switches[at].fed_by if at is not None else None
    panel = facts.panel_of(facts.breakers.get(at or ""))
    of = SERVICE if at == SERVICE else panel.id if panel is not None else ""
    return next((each for each in facts.circuits.faults if each.of == of), None)


def _waits(facts: SourceFacts, transfer: Transfer, unknown: bool, lacking: tuple[Missing, ...]) -> tuple[Missing, ...]:
    if lacking:
        return lacking
    if transfer.normal is None:
        return (facts.lack(transfer, "normal"),)
    return (facts.lack(None, "utility.fault_current_ka"),) if unknown else ()
