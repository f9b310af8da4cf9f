"""The low end: whether the smallest fault current still trips breakers at once, from the utility and on an island."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.flows.told import whole_amperes
from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.quantities import point
from deadfront.results.circuits import FaultPoint
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Severity, at_most

IDS = ("fault.low_end",)
ISLAND = ("battery", "vehicle", "generator", "inlet")


def checks(facts: Facts) -> Iterator[Check]:
    """A note for each panel, as letters tell the largest current only; what an island gives must be known.

    Where it is known to be too little the source itself must shut down: worth knowing, and no fault of the wiring.
    """
    places = {each.of: each for each in facts.faults}
    for panel in facts.at.house.panels:
        if panel.id in places:
            yield from _utility(facts, panel, places[panel.id])
    for source in facts.at.house.sources:
        if source.kind in ISLAND and facts.reach_of(source) in TOUCHED:
            yield _island(facts, source)


def _largest(breakers: list[Breaker]) -> Breaker | None:
    rated = [each for each in breakers if each.rating_a is not None]
    return max(rated, key=lambda each: each.rating_a or Decimal(0), default=None)


def _trip_a(facts: Facts, breaker: Breaker) -> Decimal:
    """Current above which a breaker usually trips without delay [A]."""
    return (breaker.rating_a or Decimal(0)) * facts.number("instantaneous_multiple")


def _utility(facts: Facts, panel: Panel, place: FaultPoint) -> Iterator[Check]:
    """The smallest fault current at a panel against its largest breaker."""
    inside = [each for each in facts.at.house.breakers if facts.panel_of(each) is panel]
    breaker, reach = _largest(inside), facts.reach_of(panel, *inside)
    if breaker is None or place.smallest is None or reach not in TOUCHED:
        return
    trip_a, smallest = _trip_a(facts, breaker), place.smallest
    outcome = at_most(point(trip_a), smallest.value)
    yield Check(
        "fault.low_end", panel.id, outcome, Severity.NOTE,
        said(f"check.fault.low_end.{outcome.name.lower()}", thing=facts.name_of(panel, "thing.by_id"),
             smallest=whole_amperes(smallest.value, down=True),
             breaker=facts.name_of(breaker, "thing.by_id"), trip=trip_a),
        reach, smallest, smallest.all_missing() if outcome is Outcome.CANNOT_TELL else (),
        (facts.cite("equipment_short_circuit"),), said("remedy.fault.low_end"),
    )  # fmt: skip


def _island(facts: Facts, source: Source) -> Check:
    """What a source gives into a fault when it is alone, against the largest branch breaker it may feed."""
    name, reach = facts.name_of(source, "thing.by_id"), facts.reach_of(source)
    branch = [each for each in facts.at.house.breakers if each.role == "branch" and each.id != source.breaker]
    breaker, cites = _largest(branch), (facts.cite("equipment_short_circuit"),)
    if source.fault_current_a is None or breaker is None:
        return Check("fault.low_end", source.id, Outcome.CANNOT_TELL, Severity.CORRECT,
                     said("check.fault.low_end.island_unknown", thing=name), reach, None,
                     facts.missing(source, "fault_current_a"), cites, said("remedy.fault.low_end_island"))  # fmt: skip
    gives = build.fact(f"fault/island/{source.id}", said("flow.island", thing=name), source.fault_current_a, "A",
                       facts.at.path(source, "fault_current_a"))  # fmt: skip
    trip_a = _trip_a(facts, breaker)
    outcome = at_most(point(trip_a), gives.value)
    return Check(
        "fault.low_end", source.id, outcome, Severity.NOTE,
        said(f"check.fault.low_end.island_{outcome.name.lower()}", thing=name,
             gives=whole_amperes(gives.value, down=True),
             breaker=facts.name_of(breaker, "thing.by_id"), trip=trip_a),
        reach, gives, (), cites, said("remedy.fault.low_end_island"),
    )  # fmt: skip
