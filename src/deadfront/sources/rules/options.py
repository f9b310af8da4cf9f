"""One option of the code held against one bus: what it adds up, its limit, and what would make it pass."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import NamedTuple

from deadfront.codebook.lookup import standard_ratings
from deadfront.msg import Msg, said
from deadfront.results.sources import OptionAnswer, Way
from deadfront.sources.rules.amounts import RULE, Told
from deadfront.sources.rules.facts import SourceFacts
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

HUNDRED = Decimal(100)
SO = Told(True)


class Tried(NamedTuple):
    """What an option is held against.

    Args:
        key: Name of the option.
        of: What it is held against, as part of step ids: "bus/p-k3m".
        used: What it adds up [A].
        limit: What that may come to [A].
        condition: Whether it may be used here.
        why: What the condition is, in words, where it decides.
    """

    key: str
    of: str
    used: Step
    limit: Step
    cites: tuple[Cite, ...]
    controlled: bool = False
    condition: Told = SO
    why: Msg | None = None


def held(tried: Tried, ways: Iterable[Way] = ()) -> OptionAnswer:
    """An option with its outcome: a figure over its limit fails, a condition not known leaves it open."""
    by_figure = at_most(tried.used.value, tried.limit.value)
    truth = tried.condition.truth
    outcome = Outcome.FAILS if truth is False else by_figure
    if truth is None and by_figure is Outcome.MEETS:
        outcome = Outcome.CANNOT_TELL
    over, spare = _apart(tried)
    return OptionAnswer(
        tried.key, said(f"source.option.{tried.key}"), tried.controlled, outcome,
        None if truth is True else tried.why,
        tried.used, tried.limit, over, spare, _missing(tried, outcome), tried.cites,
        () if outcome is Outcome.MEETS else tuple(ways),
    )  # fmt: skip


def not_here(key: str, why: Msg, cites: tuple[Cite, ...] = ()) -> OptionAnswer:
    """An option that may not be used here, and why."""
    return OptionAnswer(key, said(f"source.option.{key}"), False, Outcome.NOT_APPLICABLE, why, cites=cites)


def _apart(tried: Tried) -> tuple[Step, Step]:
    ident = f"{tried.of}/{tried.key}{'/controlled' if tried.controlled else ''}"
    return (build.minus(f"{ident}/over", "source.over", tried.used, tried.limit, unit="A"),
            build.minus(f"{ident}/spare", "source.spare", tried.limit, tried.used, unit="A"))  # fmt: skip


def _missing(tried: Tried, outcome: Outcome) -> tuple[Missing, ...]:
    if outcome is not Outcome.CANNOT_TELL:
        return ()
    found = {each.path: each for each in (*tried.condition.lacking, *tried.used.all_missing(),
                                          *tried.limit.all_missing())}  # fmt: skip
    return tuple(found.values())


def figures_known(*steps: Step) -> bool:
    """Whether every figure is known exactly."""
    return all(step.value.exact for step in steps)


def smaller_main(facts: SourceFacts, of: str, limit: Step, current: Step) -> Way | None:
    """The largest standard overcurrent device on the side of the utility that would do."""
    if not figures_known(limit, current):
        return None
    left = build.minus(f"{of}/main/left", "source.left_for_main", limit, current, unit="A")
    most = build.standard_below(f"{of}/main", "source.way.main", left, standard_ratings(facts.book),
                                cite=facts.book.table("standard_ratings").cite)  # fmt: skip
    return Way("main", said("source.way_main", most=most.value.low), most) if most.value.low > 0 else None


def lower_setting(facts: SourceFacts, of: str, limit: Step, main: Step) -> Way | None:
    """The largest setting of a power control system that would do, where the edition lets one count."""
    if not facts.in_force(RULE) or not figures_known(limit, main):
        return None
    left = build.minus(f"{of}/setting", "source.way.setting", limit, main, unit="A", cite=facts.cite(RULE))
    return Way("setting", said("source.way_setting", most=left.value.low), left) if left.value.low > 0 else None


def smaller_output(facts: SourceFacts, of: str, limit: Step, main: Step) -> Way | None:
    """The largest continuous output of all sources together that would do [A]."""
    if not figures_known(limit, main):
        return None
    entry = facts.book.value("source_current_percent")
    left = build.minus(f"{of}/output/left", "source.left_for_sources", limit, main, unit="A")
    part = build.given(f"{of}/output/part", "source.part", entry.number / HUNDRED, "", entry.cite)
    most = build.quotient(f"{of}/output", "source.way.output", left, part)
    return Way("output", said("source.way_output", most=most.value.low), most) if most.value.low > 0 else None


def larger_bus(of: str, used: Step, percent: Decimal) -> Way | None:
    """The bus rating that would do [A]."""
    if not figures_known(used):
        return None
    part = build.given(f"{of}/needed/part", "source.part", percent / HUNDRED, "", None)
    least = build.quotient(f"{of}/needed", "source.way.bus", used, part)
    return Way("bus", said("source.way_bus", least=least.value.low), least)


def known_ways(*ways: Way | None) -> tuple[Way, ...]:
    """The ways there are."""
    return tuple(each for each in ways if each is not None)


def best(options: Sequence[OptionAnswer]) -> Outcome:
    """What options come to together: one that meets is enough; an open one leaves it open."""
    found = {each.outcome for each in options}
    for each in (Outcome.MEETS, Outcome.CANNOT_TELL, Outcome.FAILS):
        if each in found:
            return each
    return Outcome.NOT_APPLICABLE
