"""Every standby source is joined to ground as it must be, in every state of the transfer equipment."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source
from deadfront.job.thing import Thing
from deadfront.results.transfer import NeutralAnswer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.sources.rules.transfer.neutral import neutral_answers, place_name
from deadfront.sources.rules.transfer.wiring import neutral_net, standby, switched
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.cite import Cite

ID = "transfer.neutral"
IDS = (ID,)
ORDER = ("doubled", "floating", "open", "once")


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One for each standby source: its worst state."""
    for source in standby(facts):
        own = [each for each in neutral_answers(facts) if each.source == source.id]
        if own:
            yield from _check(facts, source, min(own, key=lambda each: ORDER.index(each.ground)))


def _check(facts: SourceFacts, source: Source, worst: NeutralAnswer) -> Iterator[Check]:
    reach = facts.reach_of(source, *_through(facts, source))
    how = worst.ground if worst.ground == "open" else f"{worst.ground}_{_whose(facts, source, worst)}"
    joins = tuple(place_name(facts, each) for each in worst.joins)
    cites: tuple[Cite, ...] = (facts.cite("separately_derived"),)
    if facts.in_force("portable_neutral") and (source.portable or source.kind == "inlet"):
        cites = (*cites, facts.cite("portable_neutral"))
    yield from tell(ID, source.id, worst.outcome, reach, how, worst.name, cites=cites, severity=Severity.DANGER,
                    hazard=worst.outcome is Outcome.FAILS, missing=worst.missing, joins=joins)  # fmt: skip


def _whose(facts: SourceFacts, source: Source, worst: NeutralAnswer) -> str:
    """Ending of the words: its neutral is that of the service, its own by switching, or goes to no service at all."""
    if not worst.derived:
        return "service"
    return "own" if any(switched(facts.transfers[each]) for each, _ in worst.positions) else "alone"


def _through(facts: SourceFacts, source: Source) -> Iterator[Thing]:
    """Transfer equipment that the source feeds through."""
    yield from (facts.transfers[each] for each in sorted(neutral_net(facts).uses[source.id]))
