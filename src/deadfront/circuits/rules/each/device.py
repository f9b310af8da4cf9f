"""Devices that cannot be as recorded: a rating nobody makes, a breaker serving two circuits, wire not made.

Spaces and poles that do not go together, and devices that are named and not there, are found by the graph.
"""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.cases import poles_of
from deadfront.codebook.conductors import sizes_of
from deadfront.codebook.lookup import standard_ratings
from deadfront.job.panel_things import Breaker, Cable
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.quantities import size_rank
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("circuit.device",)


def checks(facts: Facts) -> Iterator[Check]:
    """One check for everything recorded that cannot be so."""
    served = _served(facts)
    for breaker in facts.at.house.breakers:
        yield from _rating(facts, breaker)
        if len(served.get(breaker.id, ())) > 1:
            yield from _two_circuits(facts, breaker, served[breaker.id])
    for circuit in facts.at.house.circuits:
        yield from _no_such_wire(facts, circuit, circuit.cable, "cable")
    for panel in facts.at.house.panels:
        yield from _no_such_wire(facts, panel, panel.feeder, "feeder")


def _served(facts: Facts) -> dict[str, list[Thing]]:
    """Circuits and panels by the breaker that feeds them."""
    on: dict[str, list[Thing]] = {}
    for circuit in facts.at.house.circuits:
        if circuit.breaker:
            on.setdefault(circuit.breaker, []).append(circuit)
    for panel in facts.at.house.panels:
        start = facts.graph.supply.get(panel.id, panel.fed_by or "")
        if start and start != "service":
            on.setdefault(start, []).append(panel)
    return on


def _said(
    facts: Facts, thing: Thing, which: str, place: str, rule: str, *, severity: Severity = Severity.CORRECT,
    outcome: Outcome = Outcome.FAILS, **params: object,
) -> Check:  # fmt: skip
    name: Msg = facts.name_of(thing, "thing.by_id")
    path = facts.at.path(thing, place)
    say = said(f"check.circuit.device.{which}", name=name, place=path, **params)
    missing: tuple[Missing, ...] = ()
    if outcome is Outcome.CANNOT_TELL:
        missing = (Missing(path, said(f"todo.circuits.{place}", thing=name), said(f"todo.how.circuits.{place}")),)
    remedy = said(f"remedy.circuit.device.{which}")
    return Check("circuit.device", thing.id, outcome, severity, say, facts.reach_of(thing), None, missing,
                 (facts.cite(rule),), remedy)  # fmt: skip


def _rating(facts: Facts, breaker: Breaker) -> Iterator[Check]:
    """A rating between two standard ones was read wrong, or is an adjustable trip that nobody has set."""
    ratings = standard_ratings(facts.book)
    if breaker.rating_a is None or breaker.rating_a in ratings:
        return
    below = [each for each in ratings if each < breaker.rating_a][-1:]
    near = (*below, *[each for each in ratings if each > breaker.rating_a][:1])
    yield _said(facts, breaker, "nonstandard", "rating_a", "breaker_standard", rating=breaker.rating_a, near=near)


def _two_circuits(facts: Facts, breaker: Breaker, served: list[Thing]) -> Iterator[Check]:
    """A breaker serves one circuit for each pole, unless it is marked for two conductors under a terminal."""
    poles = poles_of(breaker)
    poles = poles if poles is not None else 2
    if len(served) <= poles or breaker.two_allowed:
        return
    names = tuple(facts.name_of(each, "thing.by_id") for each in served)
    if breaker.two_allowed is False or len(served) > 2 * poles:
        yield _said(facts, breaker, "two_circuits", "two_allowed", "breaker_spaces", circuits=names)
        return
    severity = Severity.NOTE if facts.reach_of(breaker) is Reach.EXISTING else Severity.CORRECT
    yield _said(facts, breaker, "two_circuits_unknown", "two_allowed", "breaker_spaces", severity=severity,
                outcome=Outcome.CANNOT_TELL, circuits=names)  # fmt: skip


def _no_such_wire(facts: Facts, thing: Thing, cable: Cable, wires: str) -> Iterator[Check]:
    """Aluminum below the smallest size that has an ampacity: a slip of the survey, whatever it is."""
    if cable.metal != "aluminum" or cable.size is None:
        return
    least = sizes_of(facts.book, "aluminum")[0]
    if size_rank(cable.size) < size_rank(least):
        yield _said(facts, thing, "no_such_wire", f"{wires}.size", "conductor_protection", size=cable.size, least=least)
