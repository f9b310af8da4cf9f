"""A kind of test: what is read, where it is due, and what a verdict is made of."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from deadfront.codebook.test_limits import TestLimit, limits_of_tests
from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Asked, Reading
from deadfront.msg import Msg, said
from deadfront.quantities import Interval, between, point
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.step import Step

__test__ = False


def volts(key: str, *, needed: bool = True, repeats: bool = False) -> Asked:
    """A voltage of a house."""
    return Asked(key, "V", high=Decimal(700), needed=needed, repeats=repeats)


def amperes(key: str, *, needed: bool = True) -> Asked:
    """A current of a house."""
    return Asked(key, "A", high=Decimal(1000), needed=needed)


def seconds(key: str, *, needed: bool = True) -> Asked:
    """A time."""
    return Asked(key, "s", high=Decimal(3600), needed=needed)


def yes(key: str, *, needed: bool = True) -> Asked:
    """A yes or no."""
    return Asked(key, kind="yes", needed=needed)


def choice(key: str, *choices: str, needed: bool = True) -> Asked:
    """One of several words."""
    return Asked(key, kind="choice", choices=choices, needed=needed)


@dataclass(frozen=True)
class TestKind:
    """What a test is.

    Args:
        key: Its name; its check is commission.KEY.
        rank: Where it stands in the walk.
        asked: What is read, in order.
        tools: Kinds of instruments of which one is named; empty where hands and eyes do.
        category: The least measurement category of the instrument; "" where none is asked.
        cautions: Keys of the cautions that belong to it.
        before: Tests that come first on the same house.
        found: Asked before anything is touched, too.
        photo: Asks for a photo.
        alone: Judged by its readings and the system of the service alone.
        waived: May be said not to apply.
    """

    __test__ = False

    key: str
    rank: int
    asked: tuple[Asked, ...]
    tools: tuple[str, ...] = ()
    category: str = ""
    cautions: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    found: bool = False
    photo: bool = False
    alone: bool = False
    waived: bool = True


@dataclass(frozen=True)
class Verdict:
    """What the readings of a test come to.

    Args:
        outcome: Meets, fails or cannot tell.
        which: Its words: commission.TEST.WHICH.
        params: For the words.
        severity: How bad, where it does not meet.
        steps: Figures it rests on.
        limits: Limits it was held against.
        cites: Rules of the code behind it.
        remedy: Words of what to do: remedy.commission.TEST.REMEDY; "" for `which`.
    """

    outcome: Outcome
    which: str
    params: Mapping[str, object] = field(default_factory=dict)
    severity: Severity = Severity.CORRECT
    steps: tuple[Step, ...] = ()
    limits: tuple[TestLimit, ...] = ()
    cites: tuple[Cite, ...] = ()
    remedy: str = ""


Readings = Mapping[str, Reading]
Judge = Callable[[Facts, str, Readings], Verdict]
Due = Callable[[Facts], Iterator[str]]
Alarm = Callable[[Facts, str, Readings], "Verdict | None"]
VOLTMETERS = ("multimeter", "voltage tester", "clamp meter")


def limit(key: str) -> TestLimit:
    """A limit of tests."""
    return limits_of_tests()[key]


def limit_step(test: str, key: str) -> Step:
    """A limit as a line of the worksheet."""
    found = limit(key)
    return build.given(f"commission/{test}/{key}", said(f"commission.limit.{key}"), found.value, found.unit,
                       found.cites)  # fmt: skip


def read_step(test: str, reading: Reading, path: str = "") -> Step:
    """A reading as a line of the worksheet: a range as wide as its last digit is fine."""
    key = reading.asked.key
    return build.fact(f"commission/{test}/{key}", said(f"commission.reading.{key}"), span(reading),
                      reading.asked.unit, path)  # fmt: skip


def span(reading: Reading) -> Interval:
    """What a reading may be, by the last digit shown; unbounded above where it was beyond the range."""
    if reading.above:
        return between(reading.values[0] if reading.values else 0, None)
    low = min(reading.values) - reading.half
    return between(max(low, Decimal(0)), max(reading.values) + reading.half) if reading.half else point(reading.mean)


def meets(which: str = "meets", **more: Any) -> Verdict:
    """A test that meets."""
    return _verdict(Outcome.MEETS, which, more)


def fails(which: str, severity: Severity = Severity.CORRECT, **more: Any) -> Verdict:
    """A test that does not meet."""
    return _verdict(Outcome.FAILS, which, {"severity": severity, **more})


def unclear(which: str, **more: Any) -> Verdict:
    """A test whose readings do not decide."""
    return _verdict(Outcome.CANNOT_TELL, which, more)


_OWN = ("severity", "steps", "limits", "cites", "remedy")


def _verdict(outcome: Outcome, which: str, more: Mapping[str, object]) -> Verdict:
    own = {name: more[name] for name in _OWN if name in more}
    params = {name: value for name, value in more.items() if name not in _OWN}
    return Verdict(outcome, which, params, **own)  # type: ignore[arg-type]


def words_of(test: str, verdict: Verdict, name: Msg) -> Msg:
    """A verdict in words."""
    return said(f"commission.{test}.{verdict.which}", name=name, **verdict.params)
