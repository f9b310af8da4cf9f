"""Yes, no and not known: how facts of which some are missing add up to an outcome."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from deadfront.circuits.rules.facts import Facts
from deadfront.job.panel_things import Breaker
from deadfront.job.thing import Thing
from deadfront.msg import said
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing

Truth = bool | None
"""True, False, or None where it is not known."""

WORST = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS, Outcome.NOT_APPLICABLE)


class Told(NamedTuple):
    """Whether something is so, and which facts would tell where it is not known."""

    truth: Truth
    lacking: tuple[Missing, ...] = ()


def any_of(values: Iterable[Truth]) -> Truth:
    """True if one is so, False if none is, else not known."""
    found = tuple(values)
    return True if True in found else None if None in found else False


def all_of(values: Iterable[Truth]) -> Truth:
    """False if one is not so, True if all are, else not known."""
    found = tuple(values)
    return False if False in found else None if None in found else True


def verdict(asked: Truth, given: Truth) -> Outcome:
    """What is asked for against what is given; what is not known never passes."""
    if asked is False:
        return Outcome.NOT_APPLICABLE
    if given is True:
        return Outcome.MEETS
    if asked is True and given is False:
        return Outcome.FAILS
    return Outcome.CANNOT_TELL


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """The worst of several: a failure, then what cannot be told, then what meets."""
    found = set(outcomes)
    return next((each for each in WORST if each in found), Outcome.NOT_APPLICABLE)


def seen(thing: Thing, key: str) -> Truth:
    """The answer to a question of the site list about a thing."""
    return {"yes": True, "no": False}.get(thing.seen.get(key, ""))


def known(word: str) -> Truth:
    """A fact that is yes, no or unknown."""
    return {"yes": True, "no": False}.get(word)


def missing_seen(facts: Facts, thing: Thing, key: str) -> Missing:
    """A question of the site list about a thing that is not answered yet."""
    what = said(f"todo.circuits.{key}", thing=facts.name_of(thing, "thing.by_id"))
    return Missing(facts.at.path(thing, f"seen.{key}"), what, said(f"todo.how.circuits.{key}"))


def service_seen(facts: Facts, key: str) -> Told:
    """The answer to a question of the site list about the whole house."""
    answer = {"yes": True, "no": False}.get(facts.at.house.service.seen.get(key, ""))
    if answer is not None:
        return Told(answer)
    what, how = said(f"todo.circuits.{key}"), said(f"todo.how.circuits.{key}")
    return Told(None, (Missing(f"before/service.seen.{key}", what, how),))


def gives(breaker: Breaker | None, kind: str) -> Truth:
    """Whether a breaker gives a kind of protection ("ground fault", "arc fault"); None where it is not known."""
    return None if breaker is None else device_gives(breaker.protection, kind)


def device_gives(protection: str | None, kind: str) -> Truth:
    """Whether a device of that protection gives a kind of it."""
    return None if protection is None else protection in (kind, "both")


def distinct(missing: Iterable[Missing]) -> tuple[Missing, ...]:
    """Each missing fact once, in order."""
    return tuple({each.path: each for each in missing}.values())
