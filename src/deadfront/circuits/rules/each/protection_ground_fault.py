"""Ground-fault protection of receptacles (and crawl-space lights) on new and extended circuits, by edition."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.ground_fault import Judged, extension, judged_outlet, new_circuit
from deadfront.circuits.rules.protect.kept import Kept, touched_circuits
from deadfront.circuits.rules.protect.points import point_of
from deadfront.circuits.rules.protect.tell import WORD, distinct, left_out, worst
from deadfront.circuits.rules.protect.work import REACH, Wiring
from deadfront.job.panel_things import Circuit
from deadfront.job.thing import Thing
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity

IDS = ("protection.ground_fault",)
KEPT = Kept()


def checks(facts: Facts) -> Iterator[Check]:
    """Circuits that the work makes or adds outlets to; a panel change alone asks for none of this."""
    for ident, say in left_out(facts.book, IDS[0], "ground_fault_receptacles"):
        yield Check(ident, "", Outcome.NOT_APPLICABLE, Severity.NOTE, say)
        return
    for circuit, work, key in touched_circuits(facts):
        check = KEPT.of(key, lambda circuit=circuit, work=work: _of_circuit(facts, circuit, work))  # type: ignore[misc]
        if check is not None:
            yield check
    for outlet in facts.at.house.outlets:
        if outlet.circuit not in facts.circuits and facts.at.tag(outlet.id) == "N":
            point = point_of(outlet, None, None)
            yield _check(facts, outlet, (judged_outlet(facts, None, None, outlet, point),), Reach.NEW)


def _of_circuit(facts: Facts, circuit: Circuit, work: Wiring) -> Check | None:
    """All outlets of a new circuit, or those that the work adds; None where it adds none."""
    judge = extension if work == "extended" else new_circuit
    found = tuple(judge(facts, circuit, facts.breaker_of(circuit)))
    return _check(facts, circuit, found, REACH[work]) if found else None


def _check(facts: Facts, thing: Thing, found: tuple[Judged, ...], reach: Reach) -> Check:
    outcome = worst(each.outcome for each in found)
    which = tuple(each for each in found if each.outcome is outcome)
    say = said(
        f"check.protection.ground_fault.{WORD[outcome]}",
        name=facts.name_of(thing, "thing.by_id"), which=tuple(each.name for each in which),
    )  # fmt: skip
    if outcome is not Outcome.FAILS:
        remedy = None
    elif any(each.breaker_only for each in which):
        remedy = said("remedy.protection.ground_fault.breaker")
    else:
        remedy = said(
            "remedy.protection.ground_fault.extended"
            if reach is Reach.EXTENDED
            else "remedy.protection.ground_fault.new"
        )
    missing = distinct(m for each in found for m in each.missing) if outcome is Outcome.CANNOT_TELL else ()
    return Check("protection.ground_fault", thing.id, outcome, Severity.CORRECT, say, reach, None, missing,
                 (facts.cite("ground_fault_receptacles"),), remedy)  # fmt: skip
