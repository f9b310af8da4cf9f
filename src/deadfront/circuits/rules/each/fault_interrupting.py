"""Whether every device and panel can interrupt or withstand the largest fault current at its line terminals."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.flows.reach import service_reach
from deadfront.circuits.rules.flows.told import whole_amperes
from deadfront.codebook.book import Codebook
from deadfront.codebook.impedance import interrupting_ratings
from deadfront.job.panel_things import Breaker, Panel
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, point
from deadfront.results.circuits import FaultPoint
from deadfront.worksheet.check import Check, Outcome, Reach, Severity, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

IDS = ("fault.interrupting", "fault.panel_rating")
THOUSAND = Decimal(1000)
WAITING = tuple(f"check.fault.interrupting.{each}_unknown" for each in ("rating", "available"))


class Device(NamedTuple):
    """A device with an interrupting or short-circuit rating and what is available at its line terminals.

    Args:
        available: Largest fault current there [A]; None where it is nearer the source than the utility's letter.
        missing: What of its own rating is not known.
        covered: It stands behind another device, so that a series marking of its panel may cover it.
        series_ka: That marking [kA].
        series_missing: The marking as a fact to find out.
    """

    book: Codebook
    thing: str
    name: Msg
    rating_ka: Decimal | None
    available: Step | None
    reach: Reach
    missing: tuple[Missing, ...] = ()
    covered: bool = False
    series_ka: Decimal | None = None
    series_missing: tuple[Missing, ...] = ()


def checks(facts: Facts) -> Iterator[Check]:
    """One verdict for each device whose rating or place the work touches, or whose facts show a hazard."""
    places = {each.of: each for each in facts.faults}
    for device in _service_devices(facts, places):
        found = verdict_of(device)
        if found is not None:
            yield found
    yield from _told_by_panel(facts, _breakers(facts, places))
    for panel in facts.at.house.panels:
        if panel.id in places:
            yield from _panel(facts, panel, places[panel.id])


def _told_by_panel(facts: Facts, devices: Iterator[Device]) -> Iterator[Check]:
    """The verdict of each breaker; what waits for one kind of fact in a panel is told once, with all its breakers."""
    waiting: dict[tuple[str, str], list[tuple[Device, Check]]] = {}
    for device in devices:
        found = verdict_of(device)
        if found is None:
            continue
        if found.say.key not in WAITING:
            yield found
            continue
        panel = facts.panel_of(facts.breakers[device.thing])
        waiting.setdefault((panel.id if panel else "", found.say.key), []).append((device, found))
    for (panel_id, key), members in waiting.items():
        checks_ = [check for _, check in members]
        if len(members) == 1:
            yield checks_[0]
            continue
        missing = tuple({m.path: m for check in checks_ for m in check.missing}.values())
        reach = min((check.reach for check in checks_), key=TOUCHED.index)
        say = said(f"{key}_several", things=tuple(device.name for device, _ in members),
                   panel=facts.name_of(facts.panels[panel_id], "thing.by_id"),
                   available=checks_[0].say.params["available"])  # fmt: skip
        yield replace(checks_[0], thing=panel_id, say=say, missing=missing, reach=reach)


def _service_devices(facts: Facts, places: dict[str, FaultPoint]) -> Iterator[Device]:
    """The service disconnect and one outdoors; ahead of the service conductors the larger current counts."""
    if "service" not in places:
        return
    service, reach = facts.at.house.service, service_reach(facts)
    told = [("disconnect", service.disconnect.sccr_ka, "service")]
    if service.outside.present == "yes":
        first = "service" if service.outside.marked == "service disconnect" else "service point"
        told.append(("outside", service.outside.sccr_ka, first))
    for name, rating_ka, place in told:
        available = places.get(place, places["service"]).largest
        yield Device(facts.book, "service", said(f"flow.{name}"), rating_ka, available, reach,
                     _service_missing(name, rating_ka))  # fmt: skip


def _service_missing(name: str, value: Decimal | None) -> tuple[Missing, ...]:
    what, how = said(f"todo.service.{name}_sccr_ka"), said(f"todo.how.service.{name}_sccr_ka")
    return () if value is not None else (Missing(f"before/service.{name}.sccr_ka", what, how),)


def _breakers(facts: Facts, places: dict[str, FaultPoint]) -> Iterator[Device]:
    """Every breaker in a panel whose fault current can be told; untouched ones only with a rating on file."""
    marking = {each.id: facts.missing(each, "series_ka") for each in facts.at.house.panels}
    for breaker in facts.at.house.breakers:
        panel = facts.panel_of(breaker)
        if panel is None or panel.id not in places:
            continue
        reach = facts.reach_of(breaker)
        if breaker.interrupting_ka is None and reach not in TOUCHED:
            continue
        covered = breaker.role != "main" and breaker.id != panel.fed_by  # never a panel's own main
        yield Device(
            facts.book, breaker.id, facts.name_of(breaker, "thing.by_id"), breaker.interrupting_ka,
            places[panel.id].largest, reach, _rating_missing(facts, breaker), covered, panel.series_ka,
            marking[panel.id] if covered else (),
        )  # fmt: skip


def _rating_missing(facts: Facts, breaker: Breaker) -> tuple[Missing, ...]:
    return () if breaker.interrupting_ka is not None else facts.missing(breaker, "interrupting_ka")


@lru_cache(maxsize=4096)
def verdict_of(device: Device) -> Check | None:
    """What is to be said of a device; nothing of an untouched one that is not plainly too small."""
    available, touched = device.available, device.reach in TOUCHED
    if available is None or device.rating_ka is None:
        return _cannot_tell(device, available) if touched else None
    outcome = at_most(available.value, point(device.rating_ka * THOUSAND))
    if outcome is Outcome.FAILS:
        return _alone_too_small(device, available)
    if outcome is Outcome.CANNOT_TELL:
        return _cannot_tell(device, available) if touched else None
    return _verdict(device, outcome, available)


def _alone_too_small(device: Device, available: Step) -> Check:
    """A device that cannot interrupt the fault by itself: only a marked, tested series combination saves it."""
    if not device.covered:
        return _verdict(device, Outcome.FAILS, available)
    if device.series_ka is None:
        return _verdict(device, Outcome.CANNOT_TELL, available, "series", device.series_missing)
    outcome = at_most(available.value, point(device.series_ka * THOUSAND))
    missing = available.all_missing() if outcome is Outcome.CANNOT_TELL else ()
    return _verdict(device, outcome, available, f"series_{outcome.name.lower()}", missing)


def _cannot_tell(device: Device, available: Step | None) -> Check:
    waits = () if available is None else available.all_missing()
    if device.rating_ka is not None and not waits:  # nearer the source than the letter
        waits = (Missing("before/service.utility.fault_at", said("todo.service.fault_at"),
                         said("todo.how.service.fault_at")),)  # fmt: skip
    return Check(
        "fault.interrupting", device.thing, Outcome.CANNOT_TELL, Severity.CORRECT,
        said("check.fault.interrupting.rating_unknown" if device.rating_ka is None
             else "check.fault.interrupting.available_unknown", thing=device.name,
             available=whole_amperes(available.value) if available is not None else UNKNOWN,
             rating=device.rating_ka or UNKNOWN),
        device.reach, available, (*device.missing, *waits), (device.book.rule("interrupting_rating").cite,),
        said("remedy.fault.interrupting_facts"),
    )  # fmt: skip


def _verdict(
    device: Device, outcome: Outcome, available: Step, said_as: str = "", missing: tuple[Missing, ...] = ()
) -> Check:
    rules = ("interrupting_rating", "series_rating") if said_as else ("interrupting_rating",)
    return Check(
        "fault.interrupting", device.thing, outcome, Severity.DANGER,
        said(f"check.fault.interrupting.{said_as or outcome.name.lower()}", thing=device.name,
             available=_shown(available, outcome), rating=device.rating_ka, series=device.series_ka or 0),
        device.reach, available, missing, tuple(device.book.rule(each).cite for each in rules),
        _remedy(device.book, available),
    )  # fmt: skip


def _shown(available: Step, outcome: Outcome) -> object:
    """What is told of the available current: its upper end where the rating is enough for it, else the range."""
    told = whole_amperes(available.value)
    return told.high if outcome is Outcome.MEETS else told


def _remedy(book: Codebook, available: Step) -> Msg:
    """The smallest rating in common use that would do, or the utility's word where none does."""
    high = available.value.high
    fit = [each for each in interrupting_ratings(book) if high is not None and each * THOUSAND >= high]
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
             available=_shown(available, outcome) if available is not None else UNKNOWN,
             rating=panel.sccr_ka or UNKNOWN),
        reach, available, (*facts.missing(panel, "sccr_ka"), *waits), tuple(cites),
        said("remedy.fault.panel_rating"),
    )  # fmt: skip
