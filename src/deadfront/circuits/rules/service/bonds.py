"""Jumpers and bonds of the service: main bonding jumper, supply-side jumper, water piping, structural metal."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.electrode_lines import service_lines
from deadfront.circuits.rules.service.electrode_system import system_at
from deadfront.circuits.rules.service.sizes import TableName, sized, verdict
from deadfront.circuits.rules.service.work import service_work
from deadfront.errors import OutOfTable
from deadfront.job.service_things import Grounding
from deadfront.job.thing import Known
from deadfront.msg import said
from deadfront.results.circuits import Required, Sized
from deadfront.worksheet.check import Outcome


def bonds(facts: Facts) -> Iterator[Required]:
    """Each bond that there is to size; a part that is not known is listed only where the work touches it."""
    service = facts.at.house.service
    found = service.grounding
    touched = service_work(facts).grounding in TOUCHED
    if not is_listed_part(found):
        yield _main(facts, found)
    if service.conductors.raceway in ("steel", "aluminum") or found.supply_jumper_size:
        yield _bond(facts, "supply_jumper", "bonding_jumper", found.supply_jumper_size, None)
    if water_pipe(facts) == "yes" or (touched and water_pipe(facts) == "unknown"):
        yield _water(facts, found)
    if found.structural_metal == "yes":
        smallest = _sized(facts, _table_of_pipes(facts), "structural_bond")
        size = found.structural_bond_size
        outcome = Outcome.FAILS if found.structural_bonded == "no" else verdict(size, "copper", smallest)
        yield Required(
            "structural_bond", "service", said("grounding.name.structural_bond"), smallest, size or "", outcome
        )


def is_listed_part(found: Grounding) -> bool:
    """Whether the main bonding jumper is there as the equipment's own screw or strap, which has no size to check."""
    return found.bonding_jumper == "yes" and found.bonding_jumper_kind in ("screw", "strap")


def _main(facts: Facts, found: Grounding) -> Required:
    """The main bonding jumper as a wire, or as what is not known yet."""
    smallest = _sized(facts, "bonding_jumper", "main_bonding_jumper")
    if found.bonding_jumper == "no":
        outcome = Outcome.FAILS
    elif found.bonding_jumper_kind == "wire":
        outcome = verdict(found.bonding_jumper_size, "copper", smallest)
    else:
        outcome = Outcome.CANNOT_TELL
    size = found.bonding_jumper_size or ""
    return Required("main_bonding_jumper", "service", said("grounding.name.main_bonding_jumper"), smallest, size,
                    outcome)  # fmt: skip


def water_pipe(facts: Facts) -> Known:
    """Whether there is metal water piping: as entered, and surely where a water pipe is listed as an electrode."""
    listed = "water pipe" in system_at(facts, None).kinds
    return "yes" if listed else facts.at.house.service.grounding.water_pipe


def _water(facts: Facts, found: Grounding) -> Required:
    smallest = _sized(facts, _table_of_pipes(facts), "water_bond")
    outcome = verdict(found.water_bond_size, found.water_bond_metal, smallest)
    if water_pipe(facts) != "yes":
        outcome = Outcome.CANNOT_TELL
    elif found.water_bonded == "no":
        outcome = Outcome.FAILS
    return Required("water_bond", "service", said("grounding.name.water_bond"), smallest, found.water_bond_size or "",
                    outcome)  # fmt: skip


def _table_of_pipes(facts: Facts) -> TableName:
    by_electrode = facts.book.rule("water_bond").params["sized_as"] == "electrode_conductor"
    return "electrode_conductor" if by_electrode else "bonding_jumper"


def _bond(facts: Facts, subject: str, table: TableName, size: str | None, metal: str | None) -> Required:
    smallest = _sized(facts, table, subject)
    return Required(subject, "service", said(f"grounding.name.{subject}"), smallest, size or "",
                    verdict(size, metal or "copper", smallest))  # fmt: skip


def _sized(facts: Facts, table: TableName, subject: str) -> tuple[Sized, ...]:
    lines = service_lines(facts)
    if lines is None:
        return ()
    try:
        return sized(facts.book, table, lines, f"grounding/service/{subject}")
    except OutOfTable:
        return ()
