"""Voltage drop held against what the code's notes recommend: a recommendation, never a requirement."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.flows.drop_steps import BREAKER_80
from deadfront.codebook.book import Codebook
from deadfront.job.panel_things import Cable, Circuit, Panel
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, point
from deadfront.worksheet.check import Check, Outcome, Reach, Severity, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

IDS = ("circuit.voltage_drop",)


def checks(facts: Facts) -> Iterator[Check]:
    """One note for each circuit and feeder that the work touches."""
    circuits = {each.id: each for each in facts.at.house.circuits}
    for drop in facts.drops:
        thing: Circuit | Panel | None = circuits.get(drop.of) or facts.panels.get(drop.of)
        if thing is None:
            continue
        breaker = facts.breaker_of(thing) if isinstance(thing, Circuit) else facts.feeding(thing)
        reach = facts.reach_of(thing, breaker)
        if reach in TOUCHED:
            name, is_branch = facts.name_of(thing, "thing.by_id"), isinstance(thing, Circuit)
            ahead = () if drop.all_along is not None and drop.all_along.value.high is not None else _way(facts, thing)
            yield _check(facts.book, thing.id, name, is_branch, drop.here, drop.all_along, reach, ahead)
    yield from _unworked(facts)


def _unworked(facts: Facts) -> Iterator[Check]:
    """Circuits and feeders that the work touches and whose drop cannot even be begun, with what that waits for."""
    worked = {each.of for each in facts.drops}
    for circuit in facts.at.house.circuits:
        breaker = facts.breaker_of(circuit)
        reach = facts.reach_of(circuit, breaker)
        if circuit.id not in worked and reach in TOUCHED:
            ahead = facts.missing(breaker, "rating_a", "poles") if breaker is not None else ()
            gone = () if breaker is not None else (_fact(facts, circuit, "breaker", "breaker"),)
            missing = (*_run(facts, circuit, "cable", circuit.cable), *gone, *ahead)
            yield _cannot_begin(facts, circuit, reach, missing)
    for panel in facts.at.house.panels:
        reach = facts.reach_of(panel)
        if panel.id not in worked and reach in TOUCHED and panel.fed_by not in (None, "service"):
            missing = tuple(_run(facts, panel, "feeder", panel.feeder))
            yield _cannot_begin(facts, panel, reach, missing or tuple(_feed(facts, panel)))


def _run(facts: Facts, thing: Circuit | Panel, field: str, cable: Cable) -> Iterator[Missing]:
    """Length (zero is none) and size of a run, where they are not known."""
    for name, known in (("length_ft", cable.length_ft), ("size", cable.size)):
        if not known:
            yield _fact(facts, thing, f"{field}.{name}", name)


def _feed(facts: Facts, panel: Panel) -> Iterator[Missing]:
    """What feeds a panel and the rating of that breaker, where its length and size are known and no load is."""
    breaker = facts.feeding(panel)
    if breaker is None or panel.id not in facts.graph.feeds:
        yield _fact(facts, panel, "fed_by", "fed_by")
    else:
        yield from facts.missing(breaker, "rating_a")


def _way(facts: Facts, thing: Circuit | Panel) -> tuple[Missing, ...]:
    """What breaks the way from the service to a run: the panel of its breaker, or what feeds that panel."""
    breaker = facts.breaker_of(thing) if isinstance(thing, Circuit) else facts.feeding(thing)
    home = facts.panel_of(breaker)
    if isinstance(thing, Circuit) and breaker is not None and home is None:
        what = said("todo.circuits.panel", thing=facts.name_of(breaker, "thing.by_id"))
        return (Missing(facts.at.path(breaker, "panel"), what, said("todo.how.circuits.panel")),)
    broken = home if isinstance(thing, Circuit) else thing
    if broken is not None and broken.id not in facts.graph.feeds:
        return (_fact(facts, broken, "fed_by", "fed_by"),)
    return ()


def _fact(facts: Facts, thing: Circuit | Panel, path: str, name: str) -> Missing:
    what = said(f"todo.circuits.{name}", thing=facts.name_of(thing, "thing.by_id"))
    return Missing(facts.at.path(thing, path), what, said(f"todo.how.circuits.{name}"))


def _cannot_begin(facts: Facts, thing: Circuit | Panel, reach: Reach, missing: tuple[Missing, ...]) -> Check:
    if facts.at.house.service.system is None:
        system = Missing("before/service.system", said("todo.service.system"), said("todo.how.service.system"))
        missing = (system, *missing)
    rule = "voltage_drop" if isinstance(thing, Circuit) else "voltage_drop_feeder"
    return Check("circuit.voltage_drop", thing.id, Outcome.CANNOT_TELL, Severity.NOTE,
                 said("check.circuit.voltage_drop.not_begun", thing=facts.name_of(thing, "thing.by_id")), reach, None,
                 missing, (facts.cite(rule),), said("remedy.circuit.voltage_drop_facts"))  # fmt: skip


@lru_cache(maxsize=4096)
def _check(
    book: Codebook, thing: str, name: Msg, is_branch: bool, along: Step, all_along: Step | None, reach: Reach,
    ahead: tuple[Missing, ...],
) -> Check:  # fmt: skip
    """One run held against both recommendations; the same Steps give the same Check."""
    branch, total = (book.value(f"voltage_drop_{part}_percent") for part in ("branch", "total"))
    here = at_most(along.value, point(branch.number))
    whole = at_most(UNKNOWN if all_along is None else all_along.value, point(total.number))
    outcome = _worse(here, whole)
    shown = all_along if here is Outcome.MEETS and all_along is not None else along
    basis = "basis" if BREAKER_80 in along.all_assumed() else "load"
    missing = (*ahead, *along.all_missing(), *(all_along.all_missing() if all_along is not None else ()))
    return Check(
        "circuit.voltage_drop", thing, outcome, Severity.NOTE,
        said(f"check.circuit.voltage_drop.{outcome.name.lower()}_{basis}", thing=name, here=along.value,
             most=branch.number, total=UNKNOWN if all_along is None else all_along.value, most_total=total.number),
        reach, shown, tuple({m.path: m for m in missing}.values()) if outcome is Outcome.CANNOT_TELL else (),
        (book.rule("voltage_drop" if is_branch else "voltage_drop_feeder").cite, branch.cite),
        said("remedy.circuit.voltage_drop"),
    )  # fmt: skip


def _worse(first: Outcome, second: Outcome) -> Outcome:
    """Not met if either is not met, met only if both are."""
    for outcome in (Outcome.FAILS, Outcome.CANNOT_TELL):
        if outcome in (first, second):
            return outcome
    return Outcome.MEETS
