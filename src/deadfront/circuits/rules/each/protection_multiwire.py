"""Multiwire circuits: hots on opposite legs of one panel, opened together, grouped with their neutral."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.multiwire import Shared, open_together, same_leg, same_panel, shared_neutrals
from deadfront.circuits.rules.protect.tell import WORD, Truth, distinct
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("protection.multiwire", "protection.multiwire_legs", "protection.multiwire_grouping")
THREE_WIRES = 3


def checks(facts: Facts) -> Iterator[Check]:
    """Legs and panel for every pair, old ones too: the neutral burns; the rest for pairs that the work touches."""
    for shared in shared_neutrals(facts):
        reach = facts.reach_of(*shared.circuits, *shared.breakers)
        yield _legs(facts, shared, reach)
        if reach in TOUCHED:
            yield _disconnect(facts, shared, reach)
            yield _grouping(facts, shared, reach)


def _names(facts: Facts, shared: Shared) -> tuple[Msg, ...]:
    return tuple(facts.name_of(each, "thing.by_id") for each in shared.circuits)


def _legs(facts: Facts, shared: Shared, reach: Reach) -> Check:
    panel, leg = same_panel(facts, shared), same_leg(facts, shared)
    bad = panel is False or leg is True
    unknown = panel is None or leg is None
    outcome = Outcome.FAILS if bad else Outcome.CANNOT_TELL if unknown else Outcome.MEETS
    word = "_panels" if panel is False else ""
    severity = Severity.DANGER if bad else Severity.CORRECT if reach in TOUCHED else Severity.NOTE
    missing = tuple(_places(facts, shared)) if outcome is Outcome.CANNOT_TELL else ()
    say = said(f"check.protection.multiwire_legs.{WORD[outcome]}{word}", names=_names(facts, shared))
    remedy = said("remedy.protection.multiwire_legs") if bad else None
    return Check("protection.multiwire_legs", shared.circuits[0].id, outcome, severity, say, reach, None,
                 distinct(missing), (facts.cite("multiwire_circuits"),), remedy)  # fmt: skip


def _places(facts: Facts, shared: Shared) -> Iterator[Missing]:
    """The spaces of both breakers, or one measurement."""
    yield from facts.missing(shared.circuits[0], "hots_240_apart")
    for circuit, breaker in zip(shared.circuits, shared.breakers, strict=True):
        if breaker is None:
            yield from facts.missing(circuit, "breaker")
            continue
        yield from facts.missing(breaker, "spaces")
        if facts.panel_of(breaker) is None:
            yield from facts.missing(breaker, "panel")


def _made(
    facts: Facts, ident: str, shared: Shared, reach: Reach, met: Truth, missing: tuple[Missing, ...], rule: str
) -> Check:
    outcome = Outcome.CANNOT_TELL if met is None else Outcome.MEETS if met else Outcome.FAILS
    say = said(f"check.{ident}.{WORD[outcome]}", names=_names(facts, shared))
    remedy = said(f"remedy.{ident}") if met is False else None
    return Check(ident, shared.circuits[0].id, outcome, Severity.CORRECT, say, reach, None,
                 distinct(missing) if met is None else (), (facts.cite(rule),), remedy)  # fmt: skip


def _disconnect(facts: Facts, shared: Shared, reach: Reach) -> Check:
    lacking: tuple[Missing, ...] = ()
    for circuit, breaker in zip(shared.circuits, shared.breakers, strict=True):
        if breaker is None:
            lacking += facts.missing(circuit, "breaker")
        else:
            lacking += facts.missing(breaker, "poles", "opens_with_partner")
    met = open_together(shared)
    return _made(facts, "protection.multiwire", shared, reach, met, lacking, "multiwire_disconnect")


def _grouping(facts: Facts, shared: Shared, reach: Reach) -> Check:
    """Grouped by a tie, or by one cable that makes it plain."""
    seen = [each.multiwire_grouped for each in shared.circuits]
    one_cable = any((each.cable.conductors or 0) >= THREE_WIRES for each in shared.circuits)
    met: Truth = False if False in seen else True if True in seen or one_cable else None
    missing = facts.missing(shared.circuits[0], "multiwire_grouped")
    return _made(facts, "protection.multiwire_grouping", shared, reach, met, missing, "multiwire_grouping")
