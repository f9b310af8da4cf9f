"""Whether every device and panel can interrupt or withstand the largest fault current at its line terminals."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.flows.reach import service_reach
from deadfront.codebook.impedance import interrupting_ratings
from deadfront.job.panel_things import Breaker, Panel
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, point
from deadfront.results.circuits import FaultPoint
from deadfront.worksheet.check import Check, Outcome, Reach, Severity, at_most
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

IDS = ("fault.interrupting", "fault.panel_rating")
THOUSAND = Decimal(1000)


@dataclass(frozen=True, slots=True)
class Device:
    """A device with an interrupting or short-circuit rating, the place of its line terminals, what it is fed through.

    Args:
        series_panel: Panel whose series marking may cover it.
    """

    thing: str
    name: Msg
    rating_ka: Decimal | None
    at: FaultPoint
    reach: Reach
    missing: tuple[Missing, ...]
    series_panel: Panel | None = None


def checks(facts: Facts) -> Iterator[Check]:
    """One verdict for each device whose rating or place the work touches, or whose facts show a hazard."""
    places = {each.of: each for each in facts.faults}
    for device in _devices(facts, places):
        yield from _interrupting(facts, device)
    for panel in facts.at.house.panels:
        if panel.id in places:
            yield from _panel(facts, panel, places[panel.id])


def _devices(facts: Facts, places: dict[str, FaultPoint]) -> Iterator[Device]:
    service, reach = facts.at.house.service, service_reach(facts)
    if "service" in places:
        missing = _service_missing("disconnect.sccr_ka", service.disconnect.sccr_ka)
        yield Device("service", said("flow.disconnect"), service.disconnect.sccr_ka, places["service"], reach, missing)
    if service.outside.present == "yes" and "service" in places:
        first = "service" if service.outside.marked == "service disconnect" else "service point"
        missing = _service_missing("outside.sccr_ka", service.outside.sccr_ka)
        yield Device("service", said("flow.outside"), service.outside.sccr_ka, places.get(first, places["service"]),
                     reach, missing)  # fmt: skip
    for breaker in facts.at.house.breakers:
        panel = facts.panel_of(breaker)
        if panel is None or panel.id not in places:
            continue
        yield Device(
            breaker.id, facts.name_of(breaker, "thing.by_id"), breaker.interrupting_ka, places[panel.id],
            facts.reach_of(breaker), facts.missing(breaker, "interrupting_ka"),
            panel if _covered(breaker, panel) else None,
        )  # fmt: skip


def _covered(breaker: Breaker, panel: Panel) -> bool:
    """A series rating stands for devices on the load side of another: never for a panel's own main."""
    return breaker.role != "main" and breaker.id != panel.fed_by


def _service_missing(field: str, value: Decimal | None) -> tuple[Missing, ...]:
    key = field.replace(".", "_")
    path = f"before/service.{field}"
    return () if value is not None else (Missing(path, said(f"todo.service.{key}"), said(f"todo.how.service.{key}")),)


def _interrupting(facts: Facts, device: Device) -> Iterator[Check]:
    available = device.at.largest
    touched = device.reach in TOUCHED
    if available is None or device.rating_ka is None:
        if touched:
            yield _cannot_tell(facts, device, available)
        return
    rating_a = device.rating_ka * THOUSAND
    outcome = at_most(available.value, point(rating_a))
    if outcome is Outcome.MEETS:
        yield _verdict(facts, device, outcome, available)
    elif outcome is Outcome.CANNOT_TELL:
        if touched:
            yield _cannot_tell(facts, device, available)
    else:
        yield _alone_too_small(facts, device, available)


def _alone_too_small(facts: Facts, device: Device, available: Step) -> Check:
    """A device that cannot interrupt the fault by itself: only a marked, tested series combination saves it."""
    panel = device.series_panel
    if panel is None:
        return _verdict(facts, device, Outcome.FAILS, available)
    series = (facts.cite("interrupting_rating"), facts.cite("series_rating"))
    if panel.series_ka is None:
        missing = facts.missing(panel, "series_ka")
        return _verdict(facts, device, Outcome.CANNOT_TELL, available, "series", missing, series)
    outcome = at_most(available.value, point(panel.series_ka * THOUSAND))
    missing = available.all_missing() if outcome is Outcome.CANNOT_TELL else ()
    return _verdict(facts, device, outcome, available, f"series_{outcome.name.lower()}", missing, series)


def _cannot_tell(facts: Facts, device: Device, available: Step | None) -> Check:
    waits = () if available is None else available.all_missing()
    severity = Severity.CORRECT
    if device.rating_ka is not None and not waits:
        waits = _nearest(device)
    return Check(
        "fault.interrupting", device.thing, Outcome.CANNOT_TELL, severity,
        said("check.fault.interrupting.rating_unknown" if device.rating_ka is None
             else "check.fault.interrupting.available_unknown", thing=device.name,
             available=available.value if available is not None else UNKNOWN,
             rating=device.rating_ka or UNKNOWN),
        device.reach, available, (*device.missing, *waits), (facts.cite("interrupting_rating"),),
        said("remedy.fault.interrupting_facts"),
    )  # fmt: skip


def _nearest(device: Device) -> tuple[Missing, ...]:
    """What to ask for where the place lies nearer the source than the utility's letter."""
    return (Missing("before/service.utility.fault_at", said("todo.service.fault_at"),
                    said("todo.how.service.fault_at")),)  # fmt: skip


def _verdict(
    facts: Facts, device: Device, outcome: Outcome, available: Step, said_as: str = "",
    missing: tuple[Missing, ...] = (), cites: tuple[Cite, ...] = (),
) -> Check:  # fmt: skip
    key = f"check.fault.interrupting.{said_as or outcome.name.lower()}"
    series_ka = device.series_panel.series_ka if device.series_panel is not None else None
    return Check(
        "fault.interrupting", device.thing, outcome, Severity.DANGER,
        said(key, thing=device.name, available=available.value, rating=device.rating_ka, series=series_ka or 0),
        device.reach, available, missing, cites or (facts.cite("interrupting_rating"),), _remedy(facts, available),
    )  # fmt: skip


def _remedy(facts: Facts, available: Step) -> Msg:
    """The smallest rating in common use that would do, or the utility's word where none does."""
    high = available.value.high
    fit = [each for each in interrupting_ratings(facts.book) if high is not None and each * THOUSAND >= high]
    return said("remedy.fault.interrupting", rating=fit[0]) if fit else said("remedy.fault.interrupting_ask")


def _panel(facts: Facts, panel: Panel, place: FaultPoint) -> Iterator[Check]:
    """The panel itself against the largest fault current: its label's short-circuit current rating."""
    reach, name = facts.reach_of(panel), facts.name_of(panel, "thing.by_id")
    available = place.largest
    cites = [facts.cite("equipment_short_circuit")]
    if facts.book.has("panel_short_circuit"):
        cites.append(facts.cite("panel_short_circuit"))
    outcome = Outcome.CANNOT_TELL
    if available is not None and panel.sccr_ka is not None:
        outcome = at_most(available.value, point(panel.sccr_ka * THOUSAND))
    if outcome is Outcome.CANNOT_TELL and reach not in TOUCHED:
        return
    waits = available.all_missing() if available is not None and outcome is Outcome.CANNOT_TELL else ()
    yield Check(
        "fault.panel_rating", panel.id, outcome,
        Severity.CORRECT if outcome is Outcome.CANNOT_TELL else Severity.DANGER,
        said(f"check.fault.panel_rating.{outcome.name.lower()}", thing=name,
             available=available.value if available is not None else UNKNOWN, rating=panel.sccr_ka or UNKNOWN),
        reach, available, (*facts.missing(panel, "sccr_ka"), *waits), tuple(cites),
        said("remedy.fault.panel_rating"),
    )  # fmt: skip
