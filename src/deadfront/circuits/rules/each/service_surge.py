"""The surge protective device of a dwelling's service: since 2020, also where service equipment is replaced."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.telling import SERVICE, lacks, name_of, tell
from deadfront.circuits.rules.service.work import service_work
from deadfront.worksheet.check import Check, Outcome

ID = "service.surge"
IDS = (ID,)
RULE = "surge_protection"


def checks(facts: Facts) -> Iterator[Check]:
    """Its type, and from 2023 its nominal discharge current."""
    if not facts.book.has(RULE):
        return
    service, reach = facts.at.house.service, service_work(facts).equipment
    by, name, cites = facts.book.barred(RULE), name_of(facts, None), (facts.cite(RULE),)
    if by is not None:
        if reach in TOUCHED:
            yield from tell(ID, SERVICE, Outcome.NOT_APPLICABLE, reach, "barred", name, cites=cites, by=by)
        return
    least = facts.number("surge_nominal_ka") if facts.book.has("surge_nominal_ka") else None
    missing = lacks(facts, None, "surge" if service.surge is None else "surge_nominal_ka")
    if service.surge is None:
        outcome, how = Outcome.CANNOT_TELL, "open"
    elif service.surge not in ("type 1", "type 2"):
        outcome, how = Outcome.FAILS, "none" if service.surge == "none" else "type"
    elif least is None:
        outcome, how = Outcome.MEETS, "met"
    elif service.surge_nominal_ka is None:
        outcome, how = Outcome.CANNOT_TELL, "open"
    else:
        fits = service.surge_nominal_ka >= least
        outcome, how = (Outcome.MEETS, "met") if fits else (Outcome.FAILS, "weak")
    yield from tell(ID, SERVICE, outcome, reach, how, name, cites=cites, caution="line_side", missing=missing,
                    found=service.surge_nominal_ka, least=least)  # fmt: skip
