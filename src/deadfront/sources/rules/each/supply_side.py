"""Conductors from a joint on the supply side of the service: their least size, and how far they may run indoors."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source
from deadfront.quantities import size_rank
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.paths import joints
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome, Severity

SIZE, LENGTH = "source.supply_conductors", "source.supply_length"
IDS = (SIZE, LENGTH)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every source that joins ahead of the service disconnect."""
    for joint in joints(facts):
        if joint.way == "supply side":
            yield from _size(facts, joint.source)
            yield from _length(facts, joint.source)


def _size(facts: SourceFacts, source: Source) -> Iterator[Check]:
    if not facts.in_force("supply_side_conductors"):
        return
    rule, cable = facts.book.rule("supply_side_conductors"), source.cable
    missing = facts.missing(source, "cable.size", "cable.metal")
    least = str(rule.params[cable.metal or "aluminum"])
    outcome = Outcome.CANNOT_TELL
    if cable.size is not None and cable.metal is not None:
        outcome = Outcome.MEETS if size_rank(cable.size) >= size_rank(least) else Outcome.FAILS
    elif cable.size is not None and size_rank(cable.size) < size_rank(str(rule.params["copper"])):
        outcome = Outcome.FAILS
    yield from tell(SIZE, source.id, outcome, facts.reach_of(source), outcome.name.lower(), facts.name_of(source),
                    cites=(rule.cite,), severity=Severity.DANGER, hazard=True, missing=missing,
                    found=cable.size or "", copper=str(rule.params["copper"]),
                    aluminum=str(rule.params["aluminum"]))  # fmt: skip


def _length(facts: SourceFacts, source: Source) -> Iterator[Check]:
    """By edition; where it sets no distance, that is said: nothing but the utility's fuse protects them."""
    reach, name = facts.reach_of(source), facts.name_of(source)
    if not facts.in_force("supply_side_distance"):
        yield from tell(LENGTH, source.id, Outcome.NOT_APPLICABLE, reach, "not_in_edition", name,
                        cites=(facts.cite("supply_side_source"),), edition=facts.book.edition)  # fmt: skip
        return
    most = facts.book.value("supply_side_indoors_ft")
    outcome = Outcome.CANNOT_TELL
    if source.tap_ft is not None:
        outcome = Outcome.MEETS if source.tap_ft <= most.number else Outcome.FAILS
    yield from tell(LENGTH, source.id, outcome, reach, outcome.name.lower(), name,
                    cites=(facts.cite("supply_side_distance"), most.cite), severity=Severity.DANGER,
                    missing=facts.missing(source, "tap_ft"), length=source.tap_ft, most=most.number)  # fmt: skip
