"""Where the neutral of a circuit ends: on its own protective breaker, or as the breaker's instructions say."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.multiwire import shared_neutrals
from deadfront.circuits.rules.protect.tell import WORD, Truth
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("protection.neutral_on_breaker",)
PROTECTED = ("ground fault", "arc fault", "both")
TWO_WIRES = 2


def checks(facts: Facts) -> Iterator[Check]:
    """Protective and controllable breakers; an old one only where it is known to be wrong."""
    on: dict[str, list[Circuit]] = {}
    for circuit in facts.at.house.circuits:
        if circuit.breaker is not None:
            on.setdefault(circuit.breaker, []).append(circuit)
    sharing = _sharing(facts)
    for breaker in facts.at.house.breakers:
        if breaker.role == "branch" and (breaker.protection in PROTECTED or breaker.controllable):
            yield from _check(facts, breaker, on.get(breaker.id, []), sharing.get(breaker.id, ()))


def _sharing(facts: Facts) -> dict[str, tuple[Breaker, ...]]:
    """The other breakers on the neutral of each breaker's circuits: whichever circuit says it, both share it."""
    found: dict[str, tuple[Breaker, ...]] = {}
    for shared in facts.once(shared_neutrals):
        breakers = tuple({each.id: each for each in shared.breakers if each is not None}.values())
        for breaker in breakers:
            found[breaker.id] = tuple(each for each in breakers if each.id != breaker.id)
    return found


def _check(facts: Facts, breaker: Breaker, circuits: list[Circuit], others: tuple[Breaker, ...]) -> Iterator[Check]:
    reach = facts.reach_of(breaker, *circuits)
    met, word, missing = _judged(facts, breaker, circuits, bool(others))
    if word == "no_neutral" or (reach is Reach.EXISTING and met is not False):
        return
    outcome = Outcome.CANNOT_TELL if met is None else Outcome.MEETS if met else Outcome.FAILS
    key = f"check.protection.neutral_on_breaker.{WORD[outcome]}"
    key = f"{key}_{word}" if word else key
    if word == "shared" and others:
        key = f"{key}_with"
    say = said(key, name=facts.name_of(breaker, "thing.by_id"),
               others=tuple(facts.name_of(each, "thing.by_id") for each in others))  # fmt: skip
    fix = "remedy.protection.neutral_shared" if word == "shared" else "remedy.protection.neutral_on_breaker"
    remedy = said(fix) if met is False else None
    shown = missing if met is None and reach in TOUCHED else ()
    yield Check("protection.neutral_on_breaker", breaker.id, outcome, Severity.CORRECT, say, reach, None, shown,
                (facts.cite("protected_breaker_neutral"),), remedy)  # fmt: skip


def _judged(
    facts: Facts, breaker: Breaker, circuits: list[Circuit], mutual: bool
) -> tuple[Truth, str, tuple[Missing, ...]]:
    """Whether it ends where it must, the word for the finding, and what would tell."""
    if breaker.protection not in PROTECTED:
        return breaker.neutral_as_listed, "listed", facts.missing(breaker, "neutral_as_listed")
    if breaker.poles == 1 and (mutual or any(each.shares_neutral_with for each in circuits)):
        return False, "shared", ()
    wires = [each.cable.conductors for each in circuits]
    if breaker.poles == TWO_WIRES and wires and all(each == TWO_WIRES for each in wires):
        return None, "no_neutral", ()
    if breaker.neutral_on is not None:
        return breaker.neutral_on == "breaker", "", ()
    lacking = facts.missing(breaker, "neutral_on")
    if breaker.poles == TWO_WIRES:
        lacking += tuple(m for each in circuits for m in facts.missing(each, "cable.conductors"))
    return None, "", lacking
