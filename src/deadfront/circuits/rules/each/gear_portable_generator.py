"""Gear that its instructions keep off what a portable generator feeds."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.tell import WORD, all_of
from deadfront.job.found_things import Gear
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("gear.portable_generator",)
FEEDS = ("generator", "inlet")


def checks(facts: Facts) -> Iterator[Check]:
    """Gear in a house with a generator or an inlet, or known to stand on what one feeds."""
    house = facts.at.house
    there = any(each.kind in FEEDS for each in house.sources)
    for gear in house.gear:
        if there or gear.on_portable_generator is not None:
            yield from _check(facts, gear)
        elif facts.reach_of(gear) is not Reach.EXISTING and house.complete.sources != "yes":
            missing = Missing("before/complete.sources", said("todo.complete.sources"), said("todo.how.walk"))
            yield Check("gear.portable_generator", gear.id, Outcome.CANNOT_TELL, Severity.NOTE,
                        said("check.gear.portable_generator.sources", name=facts.name_of(gear, "thing.by_id")),
                        facts.reach_of(gear), None, (missing,))  # fmt: skip


def _check(facts: Facts, gear: Gear) -> Iterator[Check]:
    forbidden = None if gear.portable_generator_allowed is None else not gear.portable_generator_allowed
    wrong = all_of((gear.on_portable_generator, forbidden))
    reach = facts.reach_of(gear)
    if reach is Reach.EXISTING and wrong is None:
        return
    outcome = Outcome.CANNOT_TELL if wrong is None else Outcome.FAILS if wrong else Outcome.MEETS
    missing = facts.missing(gear, "on_portable_generator", "portable_generator_allowed") if wrong is None else ()
    say = said(f"check.gear.portable_generator.{WORD[outcome]}", name=facts.name_of(gear, "thing.by_id"))
    remedy = said("remedy.gear.portable_generator") if wrong else None
    yield Check("gear.portable_generator", gear.id, outcome, Severity.CORRECT, say, reach, None, missing,
                (facts.cite("listing_and_instructions"),), remedy)  # fmt: skip
