"""Metering and controllable gear is listed for its use and for the panel it is in, by facts that are entered."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.tell import WORD, all_of
from deadfront.job.found_things import Gear
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.cite import Cite

IDS = ("gear.listing",)


def checks(facts: Facts) -> Iterator[Check]:
    """All gear; what was there and is not touched only where it is known not to be listed."""
    for gear in facts.at.house.gear:
        yield from _check(facts, gear)


def _check(facts: Facts, gear: Gear) -> Iterator[Check]:
    reach = facts.reach_of(gear)
    truth = all_of((gear.listed, gear.listed_for_panel))
    if reach not in TOUCHED and truth is not False:
        return
    outcome = Outcome.CANNOT_TELL if truth is None else Outcome.MEETS if truth else Outcome.FAILS
    word = "" if truth is not False else "_use" if gear.listed is False else "_panel"
    say = said(f"check.gear.listing.{WORD[outcome]}{word}", name=facts.name_of(gear, "thing.by_id"))
    missing = facts.missing(gear, "listed", "listed_for_panel") if truth is None else ()
    remedy = said("remedy.gear.listing") if truth is False else None
    yield Check("gear.listing", gear.id, outcome, Severity.CORRECT, say, reach, None, missing,
                tuple(_cites(facts, gear)), remedy)  # fmt: skip


def _cites(facts: Facts, gear: Gear) -> Iterator[Cite]:
    yield facts.cite("listing_and_instructions")
    if facts.book.has("wiring_space_monitoring"):
        covers: Any = facts.book.rule("wiring_space_monitoring").params["covers"]
        if gear.kind in covers:
            yield facts.cite("wiring_space_monitoring")
