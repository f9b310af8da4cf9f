"""Loads that gear may not open or meter by its instructions, and circuits that by common practice nothing opens."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.shed import may_be_opened, opens_circuits
from deadfront.circuits.rules.protect.tell import WORD
from deadfront.codebook.kinds import load_kinds
from deadfront.job.found_things import Gear
from deadfront.job.panel_things import Circuit
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

IDS = ("gear.may_not_serve", "gear.never_opened")


def checks(facts: Facts) -> Iterator[Check]:
    """By the instructions as entered; then what common practice keeps closed."""
    for gear in facts.at.house.gear:
        yield from _instructions(facts, gear)
    if facts.at.house.gear or facts.at.house.energy_management or any(b.controllable for b in facts.at.house.breakers):
        for circuit in facts.at.house.circuits:
            yield from _kept_closed(facts, circuit)


def _instructions(facts: Facts, gear: Gear) -> Iterator[Check]:
    served = tuple(facts.circuits[each] for each in gear.serves if each in facts.circuits)
    wrong = tuple(
        facts.name_of(load, "thing.by_id")
        for circuit in served
        for load in facts.loads_on.get(circuit.id, ())
        if load.kind in gear.may_not_serve
    )
    reach = facts.reach_of(gear, *served)
    missing: tuple[Missing, ...] = ()
    if wrong:
        outcome = Outcome.FAILS
    elif reach not in TOUCHED:
        return
    else:
        missing = tuple(_unknown(facts, gear, served))
        outcome = Outcome.CANNOT_TELL if missing else Outcome.MEETS
    say = said(f"check.gear.may_not_serve.{WORD[outcome]}", name=facts.name_of(gear, "thing.by_id"), loads=wrong)
    remedy = said("remedy.gear.may_not_serve") if wrong else None
    yield Check("gear.may_not_serve", gear.id, outcome, Severity.CORRECT, say, reach, None, missing,
                (facts.cite("listing_and_instructions"),), remedy)  # fmt: skip


def _unknown(facts: Facts, gear: Gear, served: tuple[Circuit, ...]) -> Iterator[Missing]:
    if not gear.instructions_read:
        what = said("todo.circuits.instructions_read", thing=facts.name_of(gear, "thing.by_id"))
        yield Missing(facts.at.path(gear, "instructions_read"), what, said("todo.how.circuits.instructions_read"))
    yield from facts.missing(gear, "serves")
    if not gear.may_not_serve:
        return
    if facts.at.house.complete.loads != "yes" and any(not facts.loads_on.get(each.id) for each in served):
        yield Missing("before/complete.loads", said("todo.complete.loads"), said("todo.how.walk"))


def _kept_closed(facts: Facts, circuit: Circuit) -> Iterator[Check]:
    """Its own supply, and loads whose stop hurts or sickens someone (common practice, no section of a code)."""
    reasons: list[Msg] = []
    kinds = load_kinds()
    if any(circuit.id == each.circuit and circuit.id in each.serves and opens_circuits(each)
           for each in facts.at.house.gear):  # fmt: skip
        reasons.append(said("reason.own_supply"))
    kept = tuple(
        load for load in facts.loads_on.get(circuit.id, ()) if load.kind in kinds and kinds[load.kind].kept_closed
    )
    if kept and may_be_opened(facts, circuit):
        reasons += [said(f"kind.{load.kind}") for load in kept]
    if reasons:
        say = said("check.gear.never_opened.fails", name=facts.name_of(circuit, "thing.by_id"), loads=tuple(reasons))
        reach = facts.reach_of(circuit, facts.breaker_of(circuit))
        yield Check("gear.never_opened", circuit.id, Outcome.FAILS, Severity.CORRECT, say, reach,
                    remedy=said("remedy.gear.never_opened"))  # fmt: skip
