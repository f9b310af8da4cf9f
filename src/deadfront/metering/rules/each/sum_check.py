"""Branches and mains can be summed leg by leg only where a mains channel stands on every leg."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.found_things import Gear
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.msg import said
from deadfront.worksheet.check import Check, Severity
from deadfront.worksheet.missing import Missing

IDS = ("metering.sum_check",)


def checks(facts: Facts) -> Iterator[Check]:
    """Gear with channels of loads; never more than a note."""
    metered = {each.gear for each in facts.channels if facts.role(each) == "load"}
    yield from (_check(facts, each) for each in facts.at.house.gear if each.id in metered)


def _check(facts: Facts, gear: Gear) -> Check:
    mains = {each.leg for each in facts.channels if each.gear == gear.id and facts.role(each) in ("mains", "feeder")}
    lacks = tuple(leg for leg in facts.legs if leg not in mains)
    truth = True if not lacks else False if facts.at.house.complete.channels == "yes" else None
    what = Missing("before.complete/channels", said("todo.metering.channels"), said("todo.how.metering.channels"))
    return found(facts, IDS[0], gear, truth, severity=Severity.NOTE, legs=lacks, waits=(what,))
