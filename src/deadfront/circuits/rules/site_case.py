"""What the site list needs to know of each thing to tell which questions are asked of it.

A case is small and hashable, so that the questions of a thing are worked out once for all jobs that have its like.
The facts in a case are words; which words a question may name stands in CASE_FACTS.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.telling import name_of
from deadfront.circuits.rules.service.work import farthest, service_work
from deadfront.codebook.book import Codebook
from deadfront.job.panel_things import Circuit, Panel
from deadfront.job.thing import Known, Thing
from deadfront.msg import Msg
from deadfront.worksheet.check import Reach

YES_NO = ("yes", "no", "unknown")
CASE_FACTS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "service": {
        "overhead": YES_NO, "outside": YES_NO, "surge": YES_NO, "window_measured": ("yes", "no"),
        "splice_known": ("yes", "no"), "units": ("one or two", "three or more", "unknown"),
    },
    "job": {"sources": YES_NO, "new_circuits": ("yes", "no"), "new_cable": ("yes", "no")},
    "panels": {
        "service": YES_NO, "mounting": ("surface", "flush", "outdoor", "unknown"), "fuses": YES_NO,
        "gear": ("yes", "no"), "aluminum": ("yes", "no"),
    },
    "breakers": {"role": ("branch", "main", "feeder", "source")},
    "circuits": {
        "metal": ("copper", "aluminum", "unknown"), "underground": YES_NO,
        "cable": ("NM", "UF", "SE", "armored", "raceway", "other", "unknown"),
    },
    "structures": {"supply": ("branch circuit", "multiwire branch circuit", "feeder", "unknown")},
    "electrodes": {"kind": ("rod", "pipe", "plate", "concrete-encased", "ground ring", "water pipe",
                            "structural metal", "other")},
}  # fmt: skip
"""Facts of a thing that a question may ask for, with every word each can be, by what the question is asked of."""
_CABLES = (
    ("NM", "NM"), ("UF", "UF"), ("SE", "SE"), ("USE", "other"), ("AC", "armored"), ("MC", "armored"),
    ("THWN", "raceway"), ("THHN", "raceway"), ("XHHW", "raceway"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Case:
    """One thing as the site list sees it.

    Args:
        of: Kind of thing, as a question names it.
        ident: Its id, or "service".
        name: What it is called; None for the service.
        path: Where its answers stand: "before/p-k3m.seen".
        reach: What the work does with it.
        worked: True where the work touches it or something in it.
        facts: Its facts, in the words of CASE_FACTS.
        seen: Answers given, by key.
        recorded: Kinds of hazards recorded at it or in it.
    """

    of: str
    ident: str
    name: Msg | None
    path: str
    reach: Reach
    worked: bool
    facts: tuple[tuple[str, str], ...]
    seen: tuple[tuple[str, Known], ...]
    recorded: tuple[str, ...] = ()


def cases(facts: Facts) -> Iterator[Case]:
    """Every thing that the site list asks about, in the order a survey walks: service, panels, what leaves them."""
    house = facts.at.house
    within = _Within(facts)
    seen = house.service.seen
    yield Case("job", "service", None, "before/service.seen", within.job, within.job in TOUCHED, within.job_facts(),
               tuple(seen.items()), within.recorded_at("service"))  # fmt: skip
    service = within.service
    yield Case("service", "service", None, "before/service.seen", service, service in TOUCHED, within.service_facts(),
               tuple(seen.items()), within.recorded_at("service"))  # fmt: skip
    for panel in house.panels:
        yield _case(facts, "panels", panel, panel.id in within.worked, within.panel_facts(panel),
                    within.recorded_at(panel.id))  # fmt: skip
    left_alone = "breakers" in _asked_of_old(facts.book)
    for breaker in house.breakers:
        if left_alone or breaker.seen or breaker.id in within.breakers:
            yield _case(facts, "breakers", breaker, False, (("role", breaker.role),))
    for circuit in house.circuits:
        worked = circuit.breaker in within.breakers
        yield _case(facts, "circuits", circuit, worked, within.circuit_facts(circuit), within.recorded_at(circuit.id))
    for structure in house.structures:
        yield _case(facts, "structures", structure, False, (("supply", structure.supply or "unknown"),))
    for electrode in house.electrodes:
        yield _case(facts, "electrodes", electrode, False, (("kind", electrode.kind),))


@lru_cache(maxsize=16)
def _asked_of_old(book: Codebook) -> frozenset[str]:
    """What is asked about even where the work leaves it alone."""
    return frozenset(each.of for each in book.questions() if each.old)


def _case(
    facts: Facts, of: str, thing: Thing, worked: bool, told: tuple[tuple[str, str], ...], recorded: tuple[str, ...] = ()
) -> Case:
    reach = facts.reach_of(thing)
    path = facts.at.path(thing, "seen")
    return Case(of, thing.id, name_of(facts, thing), path, reach, worked or reach in TOUCHED, told,
                tuple(thing.seen.items()), recorded)  # fmt: skip


def _known(value: bool | None) -> str:
    return "unknown" if value is None else "yes" if value else "no"


class _Within:
    """What is in what, found in one walk through a house."""

    def __init__(self, facts: Facts) -> None:
        house = facts.at.house
        self.facts = facts
        self.gear = {each.panel for each in house.gear}
        self.aluminum: set[str] = set()
        self.worked: set[str] = set()
        self.new_circuits = [each for each in house.circuits if facts.reach_of(each) in TOUCHED]
        breakers = [each for each in house.breakers if facts.reach_of(each) in TOUCHED]
        self.breakers = {each.id for each in breakers}
        for breaker in (*breakers, *(facts.breaker_of(each) for each in self.new_circuits)):
            if (panel := facts.panel_of(breaker)) is not None:
                self.worked.add(panel.id)
        for circuit in house.circuits:
            if circuit.cable.metal == "aluminum" and (panel := facts.panel_of(facts.breaker_of(circuit))) is not None:
                self.aluminum.add(panel.id)
        self.recorded = self._recorded()
        anything = bool(facts.at.changed) or any(tag.letter != "E" for tag in facts.at.tags.values())
        self.job = Reach.NEW if anything else Reach.EXISTING
        self.service = self._service()

    def _recorded(self) -> Mapping[str, tuple[str, ...]]:
        """Kinds of hazards recorded, by the thing they are at and the panel that it is in."""
        facts, found = self.facts, dict[str, tuple[str, ...]]()
        for hazard in facts.at.house.hazards:
            place = "service" if hazard.thing in (None, "house", "service") else str(hazard.thing)
            circuit = facts.circuits.get(place)
            panel = facts.panel_of(facts.breakers.get(place) or (facts.breaker_of(circuit) if circuit else None))
            for at in {place, panel.id if panel else place}:
                found[at] = (*found.get(at, ()), hazard.kind)
        return found

    def recorded_at(self, ident: str) -> tuple[str, ...]:
        """Kinds of hazards recorded at a thing or in it."""
        return self.recorded.get(ident, ())

    def _service(self) -> Reach:
        """The most far-reaching of what the work does with any part of the service."""
        work = service_work(self.facts)
        surge = "surge" in self.facts.at.set_fields.get("service", frozenset())
        parts = (work.equipment, work.outside, work.conductors, work.grounding, work.drop)
        return farthest(*parts, Reach.REPLACED if surge else Reach.EXISTING)

    def job_facts(self) -> tuple[tuple[str, str], ...]:
        """Facts of the job as a whole."""
        house = self.facts.at.house
        sources = "yes" if house.sources else _none_left(house.complete.sources)
        in_frame = any(_cable(each) not in ("raceway", "other") for each in self.new_circuits)
        return (
            ("sources", sources),
            ("new_circuits", _known(bool(self.new_circuits))),
            ("new_cable", _known(in_frame)),
        )

    def service_facts(self) -> tuple[tuple[str, str], ...]:
        """Facts of the service."""
        house = self.facts.at.house
        few = "one or two" if house.complete.units == "yes" else "unknown"
        units = "three or more" if len(house.units) > 2 else few
        service = house.service
        surge = None if service.surge is None else service.surge != "none"
        return (("overhead", _known(service.drop.overhead)), ("outside", service.outside.present),
                ("surge", _known(surge)), ("units", units),
                ("window_measured", _known(service.drop.from_window_ft is not None)),
                ("splice_known", _known(service.grounding.conductor_spliced is not None)))  # fmt: skip

    def panel_facts(self, panel: Panel) -> tuple[tuple[str, str], ...]:
        """Facts of a panel."""
        mounting = panel.mounting or ("outdoor" if panel.location == "outdoors" else "unknown")
        aluminum = panel.id in self.aluminum or panel.feeder.metal == "aluminum"
        return (("service", _is_service(panel)), ("mounting", mounting), ("fuses", _known(panel.fuses)),
                ("gear", _known(panel.id in self.gear)), ("aluminum", _known(aluminum)))  # fmt: skip

    def circuit_facts(self, circuit: Circuit) -> tuple[tuple[str, str], ...]:
        """Facts of a circuit."""
        runs = circuit.cable.runs
        return (("metal", circuit.cable.metal or "unknown"), ("cable", _cable(circuit)),
                ("underground", _known("underground" in runs if runs else None)))  # fmt: skip


def _none_left(complete: Known) -> Known:
    """Whether there are any, where none is listed: no only if the list is complete."""
    return "no" if complete == "yes" else "unknown"


def _is_service(panel: Panel) -> str:
    if panel.service_equipment != "unknown":
        return panel.service_equipment
    return "unknown" if panel.fed_by is None else "yes" if panel.fed_by == "service" else "no"


def _cable(circuit: Circuit) -> str:
    kind = (circuit.cable.type or "").upper()
    if not kind:
        return "raceway" if circuit.cable.raceway else "unknown"
    return next((word for start, word in _CABLES if kind.startswith(start)), "other")
