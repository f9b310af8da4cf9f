"""The sources answer of a house: buses, feeders, taps and service; strings in the cold; then every rule of `each`."""

from __future__ import annotations

from dataclasses import replace

from deadfront.msg import said
from deadfront.results.sources import BusAnswer, SourcesResult
from deadfront.sources.rules.array import strings
from deadfront.sources.rules.buses import bus_answers
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.feeders import feeder_answers
from deadfront.sources.rules.paths import unplaced
from deadfront.sources.rules.registry import all_checks
from deadfront.sources.rules.signals.answer import signal_answers
from deadfront.sources.rules.starts import start_answers
from deadfront.sources.rules.supply_side import service_answers
from deadfront.sources.rules.transfer.capacity import capacity_answers
from deadfront.sources.rules.transfer.neutral import neutral_answers
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing


def sources_answer(facts: SourceFacts) -> SourcesResult:
    """Every source of a house held against the code in force."""
    house = facts.at.house
    listed = house.complete.sources
    missing = Missing("before/complete.sources", said("todo.complete.sources"), said("todo.how.walk"))
    lacks = () if listed == "yes" else (missing,)
    if not (house.sources or house.transfers or house.signals):
        say = said("sources.none" if listed == "yes" else "sources.not_looked")
        return SourcesResult(say, missing=lacks)
    buses = tuple(_but_unplaced(facts, each) for each in (*service_answers(facts), *bus_answers(facts),
                                                          *feeder_answers(facts)))  # fmt: skip
    facts = facts.holding(buses=buses, strings=tuple(strings(facts)))
    count = len(house.sources)
    say = said("sources.there" if listed == "yes" else "sources.at_least", count=count)
    return SourcesResult(say, facts.buses, facts.strings, all_checks(facts), lacks, neutral_answers(facts),
                         capacity_answers(facts), signal_answers(facts), start_answers(facts))  # fmt: skip


def _but_unplaced(facts: SourceFacts, answer: BusAnswer) -> BusAnswer:
    """An answer that meets, left open while another source may join there too."""
    others = [each for each in unplaced(facts) if each.id not in answer.sources]
    alone = any(each.key == "alone" for each in answer.options)
    if answer.outcome is not Outcome.MEETS or not others or alone or answer.kind == "tap":
        return answer
    lacks = tuple(facts.lack(each, "breaker" if each.joins == "breaker" else "joins") for each in others)
    options = tuple(replace(each, outcome=Outcome.CANNOT_TELL, missing=lacks) if each.outcome is Outcome.MEETS else each
                    for each in answer.options)  # fmt: skip
    return replace(answer, outcome=Outcome.CANNOT_TELL, options=options)
