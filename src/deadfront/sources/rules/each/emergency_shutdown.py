"""Emergency shutdown of batteries and standing generators outdoors at a dwelling, by edition; signs at the service."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.paths import Joint, joints
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome, Severity

SHUTDOWN, LABELS = "source.emergency_shutdown", "source.labels"
IDS = (SHUTDOWN, LABELS)
WORD = {True: Outcome.MEETS, False: Outcome.FAILS, None: Outcome.CANNOT_TELL}


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every battery and every generator that stands; labels at every source."""
    for joint in joints(facts):
        if joint.source.kind == "battery":
            yield from _battery(facts, joint.source)
        elif joint.source.kind == "generator" and not joint.source.portable:
            yield from _generator(facts, joint.source)
        yield from _labels(facts, joint)


def _battery(facts: SourceFacts, source: Source) -> Iterator[Check]:
    """In 2020 the disconnect or its remote control outdoors; since 2023 a function that ends its output."""
    rule = "battery_emergency_shutdown"
    if not facts.book.has(rule):
        rule = "battery_disconnect"
        if not facts.book.has(rule) or not facts.book.rule(rule).params["outdoors"]:
            return
    yield from _told(facts, source, rule, source.emergency_shutdown_outdoors, "emergency_shutdown_outdoors")


def _generator(facts: SourceFacts, source: Source) -> Iterator[Check]:
    if facts.book.has("generator_emergency_shutdown"):
        yield from _told(facts, source, "generator_emergency_shutdown", source.shutdown_outdoors, "shutdown_outdoors")


def _told(facts: SourceFacts, source: Source, rule: str, known: bool | None, field: str) -> Iterator[Check]:
    outcome = WORD[known]
    yield from tell(SHUTDOWN, source.id, outcome, facts.reach_of(source), outcome.name.lower(), facts.name_of(source),
                    cites=(facts.cite(rule),), missing=facts.missing(source, field))  # fmt: skip


def _labels(facts: SourceFacts, joint: Joint) -> Iterator[Check]:
    """A directory of sources where one runs with the utility; a sign at the service for one that stands by."""
    source, outcome = joint.source, WORD[joint.source.marked]
    rules: tuple[str, ...] = ("source_directory",) if joint.parallel else ("standby_sign",)
    if joint.parallel is None:
        rules = ("source_directory", "standby_sign")
    bad = Severity.NOTE if outcome is Outcome.CANNOT_TELL else Severity.CORRECT
    yield from tell(LABELS, source.id, outcome, facts.reach_of(source), outcome.name.lower(), facts.name_of(source),
                    cites=tuple(facts.cite(each) for each in rules), severity=bad,
                    missing=facts.missing(source, "marked"))  # fmt: skip
