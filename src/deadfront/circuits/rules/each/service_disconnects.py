"""The service disconnects: how many, in what enclosures, and where."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.telling import SERVICE, lacks, name_of, tell
from deadfront.circuits.rules.service.work import service_panels, service_work
from deadfront.worksheet.check import Check, Outcome, Severity

COUNT, PLACE = "service.disconnects", "service.disconnect_place"
IDS = (PLACE, COUNT)


def checks(facts: Facts) -> Iterator[Check]:
    """Count and form by edition, then place."""
    yield from _count(facts)
    yield from _place(facts)


def _count(facts: Facts) -> Iterator[Check]:
    service = facts.at.house.service
    count, most = service.disconnects, facts.number("service_disconnects_max")
    together = bool(facts.book.rule("service_disconnect_count").params["one_enclosure"])
    missing = lacks(facts, None, "disconnects_apart")
    if count == 0:
        outcome, how = Outcome.FAILS, "none"
    elif count is None or count == 1:
        outcome, how = Outcome.MEETS, "one"
    elif count > most:
        outcome, how = Outcome.FAILS, "many"
    elif together or service.disconnects_apart:
        outcome, how = Outcome.MEETS, "several"
    elif service.disconnects_apart is False:
        outcome, how = Outcome.FAILS, "together"
    else:
        outcome, how = Outcome.CANNOT_TELL, "open"
    hazard = Severity.CORRECT if how in ("none", "many") else None
    yield from tell(COUNT, SERVICE, outcome, service_work(facts).equipment, how, name_of(facts, None),
                    cites=(facts.cite("service_disconnect_count"),), hazard=hazard, caution="line_side",
                    missing=missing, count=count or 1, most=most)  # fmt: skip


def _place(facts: Facts) -> Iterator[Check]:
    service = facts.at.house.service
    device = service.outside
    indoors = [each for each in service_panels(facts) if each.location == "bathroom"]
    missing = lacks(facts, None, "nearest_entrance")
    outdoors = device.present == "yes" and device.marked == "service disconnect"
    if outdoors and device.readily_accessible is False:
        outcome, how = Outcome.FAILS, "not_reached"
    elif indoors and not outdoors:
        outcome, how = Outcome.FAILS, "bathroom"
    elif outdoors and device.readily_accessible:
        outcome, how = Outcome.MEETS, "met"
    elif outdoors:
        outcome, how, missing = Outcome.CANNOT_TELL, "open", lacks(facts, None, "outside.readily_accessible")
    else:
        outcome = {"yes": Outcome.MEETS, "no": Outcome.FAILS}.get(service.nearest_entrance, Outcome.CANNOT_TELL)
        how = {"yes": "met", "no": "far"}.get(service.nearest_entrance, "open")
    yield from tell(
        PLACE,
        SERVICE,
        outcome,
        service_work(facts).equipment,
        how,
        name_of(facts, None),
        cites=(facts.cite("service_disconnect_place"),),
        caution="line_side",
        missing=missing,
    )
