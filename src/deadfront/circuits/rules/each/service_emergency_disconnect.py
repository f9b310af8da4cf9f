"""The outdoor emergency disconnect of one- and two-family dwellings: by edition, and by what the work replaces."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.telling import SERVICE, lacks, name_of, tell
from deadfront.circuits.rules.service.work import farthest, service_panels, service_work
from deadfront.worksheet.check import Check, Outcome, Reach
from deadfront.worksheet.missing import Missing

ID = "service.emergency_disconnect"
IDS = (ID,)
RULE = "emergency_disconnect"


def checks(facts: Facts) -> Iterator[Check]:
    """Asked for where the work triggers it; said to be bound by the edition where it does not."""
    if not facts.book.has(RULE) or sum(each.count for each in facts.at.house.units) > 2:
        return
    reach, by = _triggered(facts), facts.book.barred(RULE)
    name, cites = name_of(facts, None), (facts.cite(RULE),)
    if by is not None and reach in TOUCHED:
        yield from tell(ID, SERVICE, Outcome.NOT_APPLICABLE, reach, "barred", name, cites=cites, by=by)
        return
    outcome, how, missing = _judge(facts)
    yield from tell(ID, SERVICE, outcome, reach, how, name, cites=cites, caution="meter", missing=missing)


def _triggered(facts: Facts) -> Reach:
    """What the work does with the parts whose replacement asks for it in this edition."""
    work = service_work(facts)
    parts = {"equipment": work.equipment, "conductors": work.conductors}
    triggers = facts.book.rule(RULE).params["triggers"]
    assert isinstance(triggers, tuple)
    return farthest(*(parts[str(each)] for each in triggers), Reach.EXISTING)


def _judge(facts: Facts) -> tuple[Outcome, str, tuple[Missing, ...]]:
    """By the panel if it stands outdoors, else by the device; one that falls short waits for where the panel is."""
    panels = service_panels(facts)
    if any(each.location == "outdoors" or each.mounting == "outdoor" for each in panels):
        return Outcome.MEETS, "panel_outdoors", ()
    outcome, how, missing = _device(facts)
    unplaced = [each for each in panels if each.location is None and each.mounting is None]
    if outcome is Outcome.FAILS and unplaced:
        return Outcome.CANNOT_TELL, "open", lacks(facts, unplaced[0], "location")
    return outcome, how, missing


def _device(facts: Facts) -> tuple[Outcome, str, tuple[Missing, ...]]:
    device = facts.at.house.service.outside
    params = facts.book.rule(RULE).params
    if device.present == "unknown":
        return Outcome.CANNOT_TELL, "open", lacks(facts, None, "outside.present")
    if device.present == "no":
        return Outcome.FAILS, "service_itself" if params["service_itself"] else "none", ()
    if params["service_itself"] and device.marked not in (None, "service disconnect"):
        return Outcome.FAILS, "not_service", ()
    seen = params["within_sight"] and device.within_sight is False
    if device.readily_accessible is False or seen:
        return Outcome.FAILS, "not_reached", ()
    lacking = [name for name, known in (
        ("outside.marked", device.marked), ("outside.readily_accessible", device.readily_accessible),
        ("outside.within_sight", device.within_sight if params["within_sight"] else True),
        ("outside.sccr_ka", device.sccr_ka),
    ) if known is None]  # fmt: skip
    if lacking:
        return Outcome.CANNOT_TELL, "open", lacks(facts, None, *lacking)
    return _interrupting(facts)


def _interrupting(facts: Facts) -> tuple[Outcome, str, tuple[Missing, ...]]:
    """Its short-circuit rating against the fault current at the service, where that is known."""
    rating = facts.at.house.service.outside.sccr_ka
    fault = next((each.largest for each in facts.faults if each.of == "service"), None)
    if fault is None or rating is None or fault.value.high is None:
        return Outcome.CANNOT_TELL, "fault_open", lacks(facts, None, "utility.fault_current_ka")
    fits = rating * 1000 >= fault.value.high
    return (Outcome.MEETS, "met", ()) if fits else (Outcome.FAILS, "weak", ())
