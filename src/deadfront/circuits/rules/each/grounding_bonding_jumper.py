"""The main bonding jumper: there, tight, and large enough where it is a wire; the bond of a metal service raceway."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.bonds import is_listed_part
from deadfront.circuits.rules.service.electrode_lines import lines_open
from deadfront.circuits.rules.service.sizes import of_metal, text
from deadfront.circuits.rules.service.telling import SERVICE, lacks, name_of, tell
from deadfront.circuits.rules.service.work import service_work
from deadfront.results.circuits import Required
from deadfront.worksheet.check import Check, Outcome, Severity

MAIN, SUPPLY = "grounding.bonding_jumper", "grounding.supply_jumper"
IDS = (MAIN, SUPPLY)


def checks(facts: Facts) -> Iterator[Check]:
    """The main bonding jumper, then what bonds a metal raceway ahead of the service disconnect."""
    if is_listed_part(facts.at.house.service.grounding):
        yield from tell(MAIN, SERVICE, Outcome.MEETS, service_work(facts).grounding, "part_met", name_of(facts, None),
                        cites=(facts.cite("main_bonding"),))  # fmt: skip
    for line in facts.grounding:
        if line.subject == "main_bonding_jumper":
            yield from _main(facts, line)
    yield from _supply(facts)


def _main(facts: Facts, line: Required) -> Iterator[Check]:
    found = facts.at.house.service.grounding
    if found.bonding_jumper == "no":
        how = "none"
    elif line.outcome is Outcome.MEETS:
        how = "wire_met"
    else:
        how = "small" if line.outcome is Outcome.FAILS else "open"
    fields = [f"grounding.{n}" for n in ("bonding_jumper", "bonding_jumper_kind")
              if getattr(found, n) in (None, "unknown")]  # fmt: skip
    if found.bonding_jumper_kind == "wire":
        fields += ["grounding.bonding_jumper_size"] if found.bonding_jumper_size is None else []
        fields += lines_open(facts, line.smallest)
    wire = of_metal(line.smallest, "copper")
    hazard = Severity.DANGER if how == "none" else None
    yield from tell(MAIN, SERVICE, line.outcome, service_work(facts).grounding, how, name_of(facts, None),
                    cites=(facts.cite("main_bonding"),), hazard=hazard,
                    severity=Severity.DANGER if how == "none" else Severity.CORRECT, caution="line_side",
                    missing=lacks(facts, None, *fields), step=wire.step if wire else None,
                    found=line.found, least=text(line.smallest))  # fmt: skip


def _supply(facts: Facts) -> Iterator[Check]:
    """A metal raceway of the service: bonded round its knockouts, by a jumper that is large enough.

    A jumper that is there for another enclosure is held against its size alone.
    """
    service = facts.at.house.service
    line = next((each for each in facts.grounding if each.subject == "supply_jumper"), None)
    if service.conductors.raceway not in ("steel", "aluminum"):
        yield from _jumper_alone(facts, line)
        return
    jumped, sized = service.grounding.concentric_knockouts_jumped, line.outcome if line else Outcome.CANNOT_TELL
    if jumped == "no" or sized is Outcome.FAILS:
        outcome, how = Outcome.FAILS, "loose" if jumped == "no" else "small"
    elif jumped == "yes" and (service.grounding.supply_jumper_size is None or sized is Outcome.MEETS):
        outcome, how = Outcome.MEETS, "met"
    else:
        outcome, how = Outcome.CANNOT_TELL, "open"
    fields = ["grounding.concentric_knockouts_jumped"] if jumped == "unknown" else []
    smallest = line.smallest if line else ()
    fields += lines_open(facts, smallest)
    hazard = Severity.DANGER if how == "loose" else None
    yield from tell(SUPPLY, SERVICE, outcome, service_work(facts).grounding, how, name_of(facts, None),
                    cites=(facts.cite("supply_bonding"),), hazard=hazard, caution="line_side",
                    missing=lacks(facts, None, *fields), found=line.found if line else "",
                    least=text(smallest))  # fmt: skip


def _jumper_alone(facts: Facts, line: Required | None) -> Iterator[Check]:
    """A supply-side jumper without a metal raceway: large enough."""
    if line is None:
        return
    how = {Outcome.MEETS: "alone_met", Outcome.FAILS: "alone_small"}.get(line.outcome, "alone_open")
    yield from tell(SUPPLY, SERVICE, line.outcome, service_work(facts).grounding, how, name_of(facts, None),
                    cites=(facts.cite("supply_bonding"),), caution="line_side",
                    missing=lacks(facts, None, *lines_open(facts, line.smallest)), found=line.found,
                    least=text(line.smallest))  # fmt: skip
