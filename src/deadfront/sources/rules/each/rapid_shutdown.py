"""Rapid shutdown of solar arrays on buildings: inside the array, outside it, and what starts it, by edition."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from deadfront.job.source_things import Source
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome, Severity

ID = "source.rapid_shutdown"
IDS = (ID,)
ORDER = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS)


class Part(NamedTuple):
    """One part of the rule: its outcome, the ending of its words, the fact it waits for."""

    outcome: Outcome
    how: str
    field: str


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every solar source."""
    for source in facts.at.house.sources:
        if source.kind == "solar":
            yield from _check(facts, source)


def _check(facts: SourceFacts, source: Source) -> Iterator[Check]:
    params = facts.book.rule("rapid_shutdown").params
    parts = [_inside(facts, source), _outside(facts, source), _switch(facts, source)]
    worst = next(part for each in ORDER for part in parts if part.outcome is each)
    lacking = [part.field for part in parts if part.outcome is Outcome.CANNOT_TELL and part.field]
    if source.location is None:
        lacking.append("location")
    yield from tell(
        ID, source.id, worst.outcome, facts.reach_of(source), worst.how, facts.name_of(source),
        cites=(facts.cite("rapid_shutdown"),), severity=Severity.DANGER, missing=facts.missing(source, *lacking),
        seconds=params["seconds"], volts=params["volts_outside"], edition=facts.book.edition,
    )  # fmt: skip


def _inside(facts: SourceFacts, source: Source) -> Part:
    """Inside the array: since 2017; an array on the ground is no array on a building."""
    params = facts.book.rule("rapid_shutdown").params
    field = "rapid_shutdown"
    if not params["inside"] or source.location == "ground":
        return Part(Outcome.MEETS, "meets", "")
    if source.rapid_shutdown is None:
        return Part(Outcome.CANNOT_TELL, "cannot_tell", field)
    if source.rapid_shutdown == "none":
        return Part(Outcome.FAILS, "inside", field)
    if source.rapid_shutdown == "no exposed wiring" and not params["wiring_option"]:
        return Part(Outcome.FAILS, "wiring", field)
    return Part(Outcome.MEETS, "meets", field)


def _outside(facts: SourceFacts, source: Source) -> Part:
    """Conductors outside the array; the time that the fact tells of is longer than what the 2014 text prints."""
    field = "rapid_shutdown_outside"
    known = source.rapid_shutdown_outside
    if known is None:
        return Part(Outcome.CANNOT_TELL, "cannot_tell", field)
    if known and not facts.book.rule("rapid_shutdown").params["inside"]:
        return Part(Outcome.CANNOT_TELL, "seconds", "")
    return Part(Outcome.MEETS if known else Outcome.FAILS, "meets" if known else "outside", field)


def _switch(facts: SourceFacts, source: Source) -> Part:
    """What starts it: since 2020 outdoors at one- and two-family dwellings."""
    field, place = "rapid_shutdown_switch", source.rapid_shutdown_switch
    if place is None:
        return Part(Outcome.CANNOT_TELL, "cannot_tell", field)
    if place == "none":
        return Part(Outcome.FAILS, "switch", field)
    if facts.book.rule("rapid_shutdown").params["initiation"] != "outdoors" or place == "outdoors":
        return Part(Outcome.MEETS, "meets", field)
    if place == "indoors":
        return Part(Outcome.FAILS, "indoors", field)
    outside = facts.at.house.service.outside
    if outside.present == "yes" and outside.marked == "service disconnect":
        return Part(Outcome.MEETS, "meets", field)
    return Part(Outcome.CANNOT_TELL, "service_place", "")
