"""The intersystem bonding termination: a place outside the equipment where telephone, cable and antenna join."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.telling import SERVICE, lacks, name_of, tell
from deadfront.circuits.rules.service.work import service_work
from deadfront.worksheet.check import Check, Outcome

ID = "grounding.intersystem"
IDS = (ID,)


def checks(facts: Facts) -> Iterator[Check]:
    """That there is one, and that it takes as many conductors as it must."""
    found = facts.at.house.service.grounding
    least = facts.number("intersystem_terminals_min")
    terminals = found.intersystem_terminals
    missing = lacks(facts, None, "grounding.intersystem")
    if found.intersystem == "no":
        outcome, how = Outcome.FAILS, "none"
    elif terminals is not None and terminals < least:
        outcome, how = Outcome.FAILS, "few"
    elif found.intersystem == "yes" and terminals is not None:
        outcome, how = Outcome.MEETS, "met"
    else:
        outcome, how = Outcome.CANNOT_TELL, "open"
        if found.intersystem == "yes":
            missing = lacks(facts, None, "grounding.intersystem_terminals")
    yield from tell(ID, SERVICE, outcome, service_work(facts).grounding, how, name_of(facts, None),
                    cites=(facts.cite("intersystem_bond"),), missing=missing, found=terminals, least=least)  # fmt: skip
