"""Metal water and gas piping and structural metal: bonded, in the right size, near where the water pipe comes in."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.bonds import water_pipe
from deadfront.circuits.rules.service.electrode_lines import lines_open
from deadfront.circuits.rules.service.electrode_system import counts, system_at
from deadfront.circuits.rules.service.sizes import of_metal, text
from deadfront.circuits.rules.service.telling import SERVICE, lacks, list_open, name_of, tell
from deadfront.circuits.rules.service.work import service_work
from deadfront.job.service_things import Electrode
from deadfront.results.circuits import Required
from deadfront.worksheet.check import Check, Outcome, Severity

WATER, GAS, METAL = "grounding.water", "grounding.gas", "grounding.structural_metal"
IDS = (GAS, METAL, WATER)


def checks(facts: Facts) -> Iterator[Check]:
    """Water piping, gas piping, structural metal."""
    lines = {line.subject: line for line in facts.grounding if line.of == SERVICE}
    yield from _water(facts, lines.get("water_bond"))
    yield from _gas(facts)
    yield from _structural(facts, lines.get("structural_bond"))


def _water(facts: Facts, line: Required | None) -> Iterator[Check]:
    found = facts.at.house.service.grounding
    cites, reach = (facts.cite("water_bond"),), service_work(facts).grounding
    name = name_of(facts, None)
    if line is None:
        if water_pipe(facts) == "no":
            yield from tell(WATER, SERVICE, Outcome.NOT_APPLICABLE, reach, "none", name, cites=cites)
        return
    fields = ["grounding.water_pipe"] if water_pipe(facts) == "unknown" else []
    fields += [f"grounding.{n}" for n in ("water_bond_size", "water_bond_metal") if getattr(found, n) is None]
    fields += lines_open(facts, line.smallest, found.water_bond_metal)
    shown = of_metal(line.smallest, found.water_bond_metal)
    loose = line.outcome is Outcome.FAILS and found.water_bonded == "no"
    how = "loose" if loose else line.outcome.name.lower()
    yield from tell(WATER, SERVICE, line.outcome, reach, how, name, cites=cites,
                    hazard=Severity.CORRECT if how == "loose" else None, caution="bond",
                    missing=lacks(facts, None, *fields), step=shown.step if shown else None,
                    found=line.found, least=text(line.smallest))  # fmt: skip
    yield from _as_electrode(facts)


def _as_electrode(facts: Facts) -> Iterator[Check]:
    """A water pipe that is an electrode: connected within 5 ft of where it enters, the meter jumped."""
    found = facts.at.house.service.grounding
    is_electrode = _is_electrode(facts)
    reach, name = service_work(facts).grounding, name_of(facts, None)
    limit = facts.number("water_connection_ft")
    if is_electrode is False:
        return
    if found.water_bond_ft is not None and found.water_bond_ft <= limit:
        outcome = Outcome.MEETS
    else:
        far = found.water_bond_ft is not None and is_electrode is True
        outcome = Outcome.FAILS if far else Outcome.CANNOT_TELL
    missing = lacks(facts, None, "grounding.water_bond_ft") if found.water_bond_ft is None else ()
    if is_electrode is None:
        unread = [m for each in _pipes(facts) if each.length_ft is None for m in lacks(facts, each, "length_ft")]
        missing = (*missing, *(unread or [list_open("electrodes")]))
    yield from tell(WATER, SERVICE, outcome, reach, f"place_{outcome.name.lower()}", name,
                    cites=(facts.book.value("water_connection_ft").cite,), caution="bond", missing=missing,
                    found=found.water_bond_ft, limit=limit)  # fmt: skip
    if is_electrode is True:
        outcome = {"yes": Outcome.MEETS, "no": Outcome.FAILS}.get(found.water_meter_jumped, Outcome.CANNOT_TELL)
        yield from tell(WATER, SERVICE, outcome, reach, f"meter_{outcome.name.lower()}", name,
                        cites=(facts.cite("water_supplement"),), hazard=Severity.CORRECT, caution="bond",
                        missing=lacks(facts, None, "grounding.water_meter_jumped"))  # fmt: skip


def _is_electrode(facts: Facts) -> bool | None:
    """Whether a water pipe is an electrode; one too short in the earth is only piping, None while it may be short."""
    system = system_at(facts, None)
    pipes = _pipes(facts)
    if not pipes:
        return system.has("water pipe")
    if any(each.length_ft is not None and counts(facts, each) for each in pipes):
        return True
    return None if any(each.length_ft is None for each in pipes) else False


def _pipes(facts: Facts) -> list[Electrode]:
    return [each for each in system_at(facts, None).electrodes if each.kind == "water pipe"]


def _gas(facts: Facts) -> Iterator[Check]:
    found = facts.at.house.service.grounding
    outcome = {"yes": Outcome.MEETS, "no": Outcome.FAILS}.get(found.gas_bonded, Outcome.CANNOT_TELL)
    missing = lacks(facts, None, "grounding.gas_bonded")
    if found.gas_pipe == "no":
        outcome = Outcome.NOT_APPLICABLE
    elif found.gas_pipe == "unknown":
        outcome, missing = Outcome.CANNOT_TELL, lacks(facts, None, "grounding.gas_pipe")
    yield from tell(
        GAS,
        SERVICE,
        outcome,
        service_work(facts).grounding,
        outcome.name.lower(),
        name_of(facts, None),
        cites=(facts.cite("gas_bond"),),
        hazard=Severity.CORRECT,
        caution="bond",
        missing=missing,
    )


def _structural(facts: Facts, line: Required | None) -> Iterator[Check]:
    found = facts.at.house.service.grounding
    if line is None:
        return
    fields = [f"grounding.{n}" for n in ("structural_bonded", "structural_bond_size")
              if getattr(found, n) in (None, "unknown")]  # fmt: skip
    fields += lines_open(facts, line.smallest)
    how = "loose" if found.structural_bonded == "no" else line.outcome.name.lower()
    shown = of_metal(line.smallest, "copper")
    yield from tell(METAL, SERVICE, line.outcome, service_work(facts).grounding, how, name_of(facts, None),
                    cites=(facts.cite("structural_bond"),), hazard=Severity.CORRECT if how == "loose" else None,
                    caution="bond", missing=lacks(facts, None, *fields), step=shown.step if shown else None,
                    found=line.found, least=text(line.smallest))  # fmt: skip
