"""Yes, no and not known: how facts of which some are missing add up to an outcome."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from deadfront.codebook.book import Codebook
from deadfront.job.panel_things import Breaker
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing

Truth = bool | None
"""True, False, or None where it is not known."""

WORD = {each: each.name.lower() for each in Outcome}
"""The last part of a finding's key, by its outcome."""

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


@lru_cache(maxsize=1024)
def in_force(book: Codebook, subject: str) -> bool:
    """Whether the edition has a rule and no local amendment bars it."""
    return book.has(subject) and book.barred(subject) is None


def left_out(book: Codebook, ident: str, subject: str) -> Iterator[tuple[str, Msg]]:
    """The id and the words of a check that a local amendment leaves out; nothing where none does."""
    amendment = book.barred(subject)
    if amendment is not None and book.has(subject):
        yield ident, said("check.protection.left_out", amendment=amendment)


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


@lru_cache(maxsize=64)
def room_words(room: str) -> Msg:
    """A room of the job file in words."""
    return said(f"room.{room.replace(' ', '_')}")


def gives(breaker: Breaker | None, kind: str) -> Truth:
    """Whether a breaker gives a kind of protection ("ground fault", "arc fault"); None where it is not known."""
    return None if breaker is None else device_gives(breaker.protection, kind)


def device_gives(protection: str | None, kind: str) -> Truth:
    """Whether a device of that protection gives a kind of it."""
    return None if protection is None else protection in (kind, "both")


def distinct(missing: Iterable[Missing]) -> tuple[Missing, ...]:
    """Each missing fact once, in order."""
    return tuple({each.path: each for each in missing}.values())
