"""What an instrument lacks for a test: kind, calibration on the day, category."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from datetime import date

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import TestKind
from deadfront.job.record_things import Instrument, Record
from deadfront.msg import Msg, said

LEAST_RATED_V = 300  # volts: the least rating of a tester that stands in a house of 240 V
CATEGORIES = ("CAT II", "CAT III", "CAT IV")


def doubts(facts: Facts, kind: TestKind, record: Record) -> Iterator[tuple[Msg, bool]]:
    """What speaks against the instruments of a record: in words, and whether no pass rests on them."""
    if not kind.tools:
        return
    named = [facts.instruments[each] for each in record.instruments if each in facts.instruments]
    fitting = [each for each in named if each.kind in kind.tools]
    if not fitting:
        key = "no_instrument" if not named else "wrong_instrument"
        tools = tuple(said(f"commission.tool.{each.replace(' ', '_')}") for each in kind.tools)
        yield said(f"commission.doubt.{key}", tools=tools), True
        return
    for each in fitting:
        yield from _calibration(each, record.on)
        if each.rated_v is not None and each.rated_v < LEAST_RATED_V:
            yield said("commission.doubt.rated", name=name_of(each), found=each.rated_v, least=LEAST_RATED_V), True
        least = CATEGORIES[-1] if kind.category and record.thing == "service" else kind.category
        if least and each.category is None:
            yield said("commission.doubt.category_unknown", name=name_of(each), least=least), False
        elif least and CATEGORIES.index(str(each.category)) < CATEGORIES.index(least):
            yield said("commission.doubt.category", name=name_of(each), found=each.category, least=least), False


def _calibration(tool: Instrument, on: date | None) -> Iterator[tuple[Msg, bool]]:
    name = name_of(tool)
    if tool.calibrated_on is None or tool.calibration_months is None:
        yield said("commission.doubt.calibration_unknown", name=name), False
    elif on is None:
        yield said("commission.doubt.no_date", name=name), True
    elif not in_calibration(tool, on):
        yield said("commission.doubt.calibration", name=name, until=until(tool)), True


def in_calibration(tool: Instrument, on: date) -> bool | None:
    """Whether its calibration held on a day; None where it is not known. A day before it does not count."""
    last = until(tool)
    return None if last is None or tool.calibrated_on is None else tool.calibrated_on <= on <= last


def until(tool: Instrument) -> date | None:
    """Last day of its calibration."""
    if tool.calibrated_on is None or tool.calibration_months is None:
        return None
    month = tool.calibrated_on.month - 1 + tool.calibration_months
    year, month = tool.calibrated_on.year + month // 12, month % 12 + 1
    return date(year, month, min(tool.calibrated_on.day, monthrange(year, month)[1]))


def name_of(tool: Instrument) -> Msg:
    """What an instrument is called."""
    if tool.name:
        return said("thing.named", name=tool.name)
    return said(f"commission.tool.{tool.kind.replace(' ', '_')}")
