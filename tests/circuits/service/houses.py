"""Small houses for the rules on service and grounding: facts as a job file has them, to checks by id."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from typing import Any

from deadfront.assess.run import context_of, facts_of
from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.flows.fault_points import fault_points
from deadfront.circuits.rules.service.required import grounding
from deadfront.codebook import Codebook, open_book
from deadfront.job.model import Job
from deadfront.loads.rules.answer import load_answer
from deadfront.results.circuits import Required
from deadfront.worksheet.check import Check

MODULES = (
    "grounding_bonding_jumper", "grounding_electrode_conductor", "grounding_electrodes", "grounding_feeder_ground",
    "grounding_intersystem", "grounding_joins", "grounding_piping", "grounding_rods", "grounding_three_wire_appliance",
    "service_conductors", "service_disconnects", "service_drop", "service_emergency_disconnect", "service_space",
    "service_surge", "structures",
)  # fmt: skip
NEW_EQUIPMENT = {"service": {"disconnect": {"rating_a": 200}}}
"""What a step sets when it replaces the service disconnect."""


def facts_from(
    before: dict[str, Any], edition: str = "2023", *, set_: dict[str, Any] | None = None,
    add: dict[str, Any] | None = None, existing: bool = True, book: Codebook | None = None,
) -> Facts:  # fmt: skip
    """Facts of a house as found, and of what one step sets and adds."""
    edition = book.edition if book is not None else edition
    work = [{"id": "w-01a", "say": "work", "set": set_ or {}, "add": add or {}}] if set_ or add else []
    head = {"format": 1, "name": "house", "code": {"edition": edition}, "existing": existing}
    job = Job.model_validate({"job": head, "before": before, "work": work})
    context = context_of(job, book or open_book(edition))
    facts = facts_of(context, load_answer(context))
    return replace(facts, grounding=grounding(facts), faults=fault_points(facts))


def checks_of(facts: Facts, *names: str) -> list[Check]:
    """Checks of the named rules, or of all of this part."""
    found = []
    for name in names or MODULES:
        found += list(import_module(f"deadfront.circuits.rules.each.{name}").checks(facts))
    return found


def told(facts: Facts, ident: str, thing: str = "service") -> list[str]:
    """Outcome and ending of the words of every check of that id on that thing: "FAILS none"."""
    return [f"{c.outcome.name} {c.say.key.rpartition('.')[2]}" for c in checks_of(facts)
            if (c.id, c.thing) == (ident, thing)]  # fmt: skip


def required(facts: Facts, subject: str, of: str = "service") -> Required:
    """One line of the grounding sheet."""
    return next(each for each in facts.grounding if (each.subject, each.of) == (subject, of))


def sizes(line: Required) -> tuple[str, ...]:
    """Smallest sizes of a line, copper first."""
    return tuple(each.size for each in line.smallest)


def service(size: str = "4/0", metal: str = "aluminum", sets: int | None = None, **more: Any) -> dict[str, Any]:
    """A service of these conductors, with other facts of it."""
    conductors = {"size": size, "metal": metal} | ({"sets": sets} if sets else {})
    return {"system": "120/240 1ph 3w", "disconnect": {"rating_a": 200}, "conductors": conductors, **more}
