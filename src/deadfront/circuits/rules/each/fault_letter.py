"""The utility's letter against its transformer: a letter that the nameplate contradicts is not used in silence."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.flows.fault_points import letter_against
from deadfront.circuits.rules.flows.told import whole_amperes
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Severity

IDS = ("fault.letter",)


def checks(facts: Facts) -> Iterator[Check]:
    """One finding where letter and transformer are both on file; while they disagree the larger one counts.

    Where only the rating of the transformer is on file, its usual impedance cannot put the letter in doubt: a note.
    """
    against = facts.once(letter_against)
    if against is None:
        return
    house = facts.at.house
    reach, outcome = facts.reach_of(*house.panels, *house.breakers), against.outcome
    if reach not in TOUCHED and outcome is not Outcome.FAILS:
        return
    usual = house.service.utility.transformer.impedance_percent is None
    missing = against.worked.all_missing() if outcome is Outcome.CANNOT_TELL else ()
    yield Check("fault.letter", "service", outcome,
                Severity.NOTE if outcome is Outcome.CANNOT_TELL and usual else Severity.CORRECT,
                said(f"check.fault.letter.{outcome.name.lower()}", letter=whole_amperes(against.letter.value),
                     worked=whole_amperes(against.worked.value)),
                reach, against.worked, missing, (facts.cite("interrupting_rating"),),
                None if outcome is Outcome.MEETS else said("remedy.fault.letter"))  # fmt: skip
