"""Arc-fault protection of branch circuits by room, edition and what the work does with them."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.arc_fault import given, listed_rooms, rooms_ask, rooms_of, work_asks
from deadfront.circuits.rules.protect.kept import Kept, touched_circuits
from deadfront.circuits.rules.protect.tell import WORD, all_of, distinct, left_out, room_words, verdict
from deadfront.circuits.rules.protect.work import REACH, Wiring
from deadfront.job.panel_things import Circuit
from deadfront.msg import Msg, said
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.step import Step

IDS = ("protection.arc_fault",)
KEPT = Kept()


def checks(facts: Facts) -> Iterator[Check]:
    """Circuits whose wiring the work makes, replaces or extends; a new breaker on old wiring is another rule."""
    for ident, say in left_out(facts.book, IDS[0], "arc_fault_rooms"):
        yield Check(ident, "", Outcome.NOT_APPLICABLE, Severity.NOTE, say)
        return
    for circuit, work, key in touched_circuits(facts):
        check = KEPT.of(key, lambda circuit=circuit, work=work: _check(facts, circuit, work))  # type: ignore[misc]
        if check is not None:
            yield check


def _check(facts: Facts, circuit: Circuit, work: Wiring) -> Check:
    breaker = facts.breaker_of(circuit)
    place, touched = rooms_ask(facts, circuit, breaker), work_asks(facts, circuit, work)
    asked = all_of((place.truth, touched.truth))
    means = given(facts, circuit, breaker, work)
    outcome = verdict(asked, means.truth)
    lacking = (
        *(place.lacking if asked is None else ()),
        *(touched.lacking if asked is None else ()),
        *(means.lacking if means.truth is None else ()),
    )
    word = WORD[outcome]
    if outcome is Outcome.NOT_APPLICABLE and place.truth is not False:
        word = "short"
    rooms = rooms_of(facts, circuit)
    say = said(
        f"check.protection.arc_fault.{word}",
        name=facts.name_of(circuit, "thing.by_id"),
        rooms=tuple(room_words(each) for each in listed_rooms(facts, rooms) or rooms),
    )
    cites = [facts.cite("arc_fault_rooms")]
    if work == "extended":
        cites.append(facts.cite("arc_fault_extension"))
    missing = distinct(lacking) if outcome is Outcome.CANNOT_TELL else ()
    return Check("protection.arc_fault", circuit.id, outcome, Severity.CORRECT, say, REACH[work],
                 _length(facts, circuit) if work == "extended" else None, missing, tuple(cites),
                 _remedy(facts, work, outcome))  # fmt: skip


def _remedy(facts: Facts, work: Wiring, outcome: Outcome) -> Msg | None:
    if outcome is not Outcome.FAILS:
        return None
    if work != "extended":
        return said("remedy.protection.arc_fault.new")
    switch = facts.book.rule("arc_fault_extension").params["first_switch"]
    return said("remedy.protection.arc_fault.switch" if switch else "remedy.protection.arc_fault.extended")


def _length(facts: Facts, circuit: Circuit) -> Step | None:
    """Length that the work adds outside enclosures [ft]."""
    if circuit.extended_ft is None:
        return None
    ident, path = f"{circuit.id}/extended", facts.at.path(circuit, "extended_ft")
    return build.fact(ident, "protection.extended", circuit.extended_ft, "ft", path)
