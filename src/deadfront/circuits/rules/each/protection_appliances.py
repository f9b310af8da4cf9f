"""Ground-fault protection of named appliances, cord or hard-wired, by edition."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.equipment import circuit_of, load_reach, outlet_of, protected, rated_upto
from deadfront.circuits.rules.protect.tell import WORD, distinct, left_out, verdict
from deadfront.job.load_things import Load
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("protection.appliances",)


def checks(facts: Facts) -> Iterator[Check]:
    """Appliances of the listed kinds that the work puts in or connects anew."""
    for ident, say in left_out(facts.book, IDS[0], "ground_fault_appliances"):
        yield Check(ident, "", Outcome.NOT_APPLICABLE, Severity.NOTE, say)
        return
    params: Any = facts.book.rule("ground_fault_appliances").params
    for load in facts.at.house.loads:
        if load.kind in params["kinds"]:
            yield from _check(facts, params, load)


def _named(facts: Facts, load: Load) -> Msg:
    """A load by its name and its kind; by its kind once where it has no name."""
    name, kind = facts.name_of(load, "thing.by_id"), said(f"kind.{load.kind}")
    return said("thing.tagged", thing=name, tag=kind) if load.name else kind


def _check(facts: Facts, params: Any, load: Load) -> Iterator[Check]:
    circuit, outlet = circuit_of(facts, load), outlet_of(facts, load)
    reach = load_reach(facts, load, circuit, outlet)
    left_alone = reach is Reach.REPLACED and load.kind not in params["replacement_kinds"]
    if reach not in TOUCHED or left_alone:
        return
    rating, means = rated_upto(facts, circuit, params["rating_upto_a"]), protected(facts, circuit, outlet)
    outcome = verdict(rating.truth, means.truth)
    missing: tuple[Missing, ...] = ()
    if outcome is Outcome.CANNOT_TELL:
        missing = distinct((*facts.missing(load, "circuit"), *rating.lacking, *means.lacking))
    say = said(
        f"check.protection.appliances.{WORD[outcome]}",
        name=_named(facts, load),
    )
    remedy = said("remedy.protection.appliances") if outcome is Outcome.FAILS else None
    yield Check("protection.appliances", load.id, outcome, Severity.CORRECT, say, reach, None, missing,
                (facts.cite("ground_fault_appliances"),), remedy)  # fmt: skip
