"""The picture of fault currents: at each place what is available, against the least that its devices interrupt."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.documents.catalog import Catalog
from deadfront.documents.figures import RulerBar, ruler_picture
from deadfront.job.house import HouseAt
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, Interval, point
from deadfront.results.circuits import CircuitsResult, FaultPoint
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.sheet import Picture

THOUSAND = Decimal(1000)


def least_rating_a(at: HouseAt, place: FaultPoint) -> Interval:
    """The least rating marked at a place: of the service disconnect, or of the panel and the breakers in it [A]."""
    house = at.house
    if place.of not in {panel.id for panel in house.panels}:
        service = house.service
        told = [service.disconnect.sccr_ka] if place.of == "service" else [service.outside.sccr_ka]
    else:
        alone = len(house.panels) == 1
        inside = [b for b in house.breakers if b.panel == place.of or (alone and b.panel is None)]
        told = [p.sccr_ka for p in house.panels if p.id == place.of]
        told += [breaker.interrupting_ka for breaker in inside]
    known = [each for each in told if each is not None]
    return point(min(known) * THOUSAND) if known else UNKNOWN


def fault_bars(place: FaultPoint, rating: Interval, catalog: Catalog) -> list[RulerBar]:
    """Leg to leg and leg to neutral at a place, each with how it stands to the least rating."""
    bars = []
    for name, step in (("leg_leg", place.line_to_line), ("leg_neutral", place.line_to_neutral)):
        if step is not None:
            outcome = Outcome.CANNOT_TELL if rating.high is None else at_most(step.value, rating)
            bars.append(RulerBar(catalog.key(f"sheet.fault.column.{name}"), step.value, outcome))
    return bars


def fault_pictures(at: HouseAt, result: CircuitsResult, catalog: Catalog) -> Iterator[tuple[FaultPoint, Picture]]:
    """One ruler for each place where something interrupts and the fault current is known."""
    for place in result.faults:
        rating = least_rating_a(at, place)
        bars = fault_bars(place, rating, catalog)
        marked = place.of in ("transformer", "service point") and rating.high is None
        if bars and not marked:
            say = said("sheet.fault.picture", place=place.name)
            yield place, Picture(ruler_picture(bars, rating, catalog), say)
