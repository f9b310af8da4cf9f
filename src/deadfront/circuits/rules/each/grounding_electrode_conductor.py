"""The conductor to the electrodes of the service and to each of them: size, metal near earth, splices, clamps."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.electrode_lines import lines_open
from deadfront.circuits.rules.service.electrode_system import EARTH_RODS, OTHER, system_at
from deadfront.circuits.rules.service.sizes import of_metal, text
from deadfront.circuits.rules.service.telling import SERVICE, lacks, list_open, name_of, tell
from deadfront.circuits.rules.service.work import farthest, service_work
from deadfront.job.service_things import Electrode
from deadfront.results.circuits import Required
from deadfront.worksheet.check import Check, Outcome, Reach
from deadfront.worksheet.missing import Missing

ID = "grounding.electrode_conductor"
IDS = (ID,)
NEAR_EARTH = (*EARTH_RODS, "ground ring")


def checks(facts: Facts) -> Iterator[Check]:
    """The whole system, then each electrode."""
    work = service_work(facts).grounding
    electrodes = {each.id: each for each in facts.at.house.electrodes}
    for line in facts.grounding:
        if line.subject == "electrode_conductor":
            electrode = electrodes.get(line.of)
            reach = work if electrode is None else _reach(facts, electrode, work)
            yield from _size(facts, line, electrode, reach)
    yield from _splice(facts, work)
    for electrode in electrodes.values():
        yield from _at_electrode(facts, electrode, _reach(facts, electrode, work))


def _reach(facts: Facts, electrode: Electrode, work: Reach) -> Reach:
    own = facts.reach_of(electrode)
    return own if electrode.structure is not None else farthest(own, work)


def _size(facts: Facts, line: Required, electrode: Electrode | None, reach: Reach) -> Iterator[Check]:
    metal = facts.at.house.service.grounding.conductor_metal if electrode is None else electrode.conductor_metal
    if electrode is not None and electrode.kind == OTHER:
        return  # what it is comes first: the rule on electrodes asks
    shown = of_metal(line.smallest, metal)
    cites = (facts.cite("electrode_conductor_rule"),)
    yield from tell(ID, line.of if electrode else SERVICE, line.outcome, reach, line.outcome.name.lower(),
                    line.name if electrode is None else name_of(facts, electrode), cites=cites, caution="bond",
                    missing=_missing(facts, line, electrode), step=shown.step if shown else None,
                    found=line.found, least=text(line.smallest))  # fmt: skip


def _missing(facts: Facts, line: Required, electrode: Electrode | None) -> tuple[Missing, ...]:
    """The facts of the ungrounded conductors, of this conductor, and of the rest of the system."""
    structure = electrode.structure if electrode is not None else None
    found = list(_lines_missing(facts, line, structure))
    if electrode is None:
        own = facts.at.house.service.grounding
        names = ("conductor_size", "conductor_metal")
        found += lacks(facts, None, *(f"grounding.{name}" for name in names if getattr(own, name) is None))
    else:
        fields = ("conductor_size", "conductor_metal", "only_to_it")
        found += lacks(facts, electrode, *(name for name in fields if getattr(electrode, name) is None))
    if system_at(facts, structure).complete is not True:
        found.append(list_open("electrodes"))
    return tuple(found)


def _lines_missing(facts: Facts, line: Required, structure: str | None) -> tuple[Missing, ...]:
    if structure is None:
        return lacks(facts, None, *lines_open(facts, line.smallest))
    if line.smallest:
        return ()
    panel = next((each for each in facts.at.house.panels if each.structure == structure), None)
    if panel is None:
        return (list_open("panels"),)
    lacking = [f"feeder.{name}" for name in ("size", "metal") if getattr(panel.feeder, name) is None]
    return lacks(facts, panel, *(lacking or ["feeder.size"]))


def _splice(facts: Facts, reach: Reach) -> Iterator[Check]:
    """A splice that can be undone; that there is none is asked on the site list."""
    if facts.at.house.service.grounding.conductor_spliced:
        cites = (facts.cite("electrode_conductor_placing"),)
        yield from tell(ID, SERVICE, Outcome.FAILS, reach, "spliced", name_of(facts, None), cites=cites,
                        caution="bond")  # fmt: skip


def _at_electrode(facts: Facts, electrode: Electrode, reach: Reach) -> Iterator[Check]:
    name = name_of(facts, electrode)
    if electrode.conductor_metal == "aluminum" and electrode.kind in NEAR_EARTH:
        cites = (facts.cite("electrode_conductor_placing"),)
        yield from tell(ID, electrode.id, Outcome.FAILS, reach, "aluminum", name, cites=cites, caution="bond")
    if electrode.clamp_listed is False:
        cites = (facts.cite("electrode_connection"),)
        yield from tell(ID, electrode.id, Outcome.FAILS, reach, "clamp", name, cites=cites, caution="bond")
