"""What the site list needs to know of each thing to tell which questions are asked of it.

A case is small and hashable, so that the questions of a thing are worked out once for all jobs that have its like.
The facts in a case are words; which words a question may name stands in CASE_FACTS.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.job.thing import Known, Thing
from deadfront.worksheet.check import Reach

YES_NO = ("yes", "no", "unknown")
MOUNTINGS = ("surface", "flush", "outdoor", "unknown")
CASE_FACTS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "service": {"overhead": YES_NO, "outside": YES_NO, "water_pipe": YES_NO},
    "job": {"sources": YES_NO, "structures": YES_NO},
    "panels": {
        "service": YES_NO, "mounting": MOUNTINGS, "fuses": YES_NO, "gear": YES_NO, "aluminum": YES_NO,
        "multiwire": YES_NO, "feeders": YES_NO, "sources": YES_NO,
    },
    "breakers": {"role": ("branch", "main", "feeder", "source"), "protected": YES_NO},
    "circuits": {
        "multiwire": YES_NO, "metal": ("copper", "aluminum", "unknown"), "receptacles": YES_NO,
        "cable": ("NM", "UF", "SE", "armored", "raceway", "other", "unknown"), "attic": YES_NO, "underground": YES_NO,
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
        name: Its own name; "" for none.
        path: Where its answers stand: "before/p-k3m.seen".
        reach: What the work does with it.
        worked: True where the work touches it or something in it.
        facts: Its facts, in the words of CASE_FACTS.
        seen: Answers given, by key.
    """

    of: str
    ident: str
    name: str
    path: str
    reach: Reach
    worked: bool
    facts: tuple[tuple[str, str], ...]
    seen: tuple[tuple[str, Known], ...]


def cases(facts: Facts) -> Iterator[Case]:
    """Every thing that the site list asks about, in the order a survey walks: service, panels, what leaves them."""
    house = facts.at.house
    within = _Within(facts)
    seen = house.service.seen
    yield Case("job", "service", "", "before/service.seen", within.job, within.job in TOUCHED, within.job_facts(),
               tuple(seen.items()))  # fmt: skip
    service = within.service
    yield Case("service", "service", "", "before/service.seen", service, service in TOUCHED, within.service_facts(),
               tuple(seen.items()))  # fmt: skip
    for panel in house.panels:
        yield _case(facts, "panels", panel, panel.id in within.worked, within.panel_facts(panel))
    for breaker in house.breakers:
        yield _case(facts, "breakers", breaker, False, _breaker_facts(breaker))
    for circuit in house.circuits:
        breaker_of = facts.breaker_of(circuit)
        worked = breaker_of is not None and facts.reach_of(breaker_of) in TOUCHED
        yield _case(facts, "circuits", circuit, worked, within.circuit_facts(circuit))
    for structure in house.structures:
        yield _case(facts, "structures", structure, False, (("supply", structure.supply or "unknown"),))
    for electrode in house.electrodes:
        yield _case(facts, "electrodes", electrode, False, (("kind", electrode.kind),))


def _case(facts: Facts, of: str, thing: Thing, worked: bool, told: tuple[tuple[str, str], ...]) -> Case:
    reach = facts.reach_of(thing)
    path = facts.at.path(thing, "seen")
    return Case(of, thing.id, thing.name or "", path, reach, worked or reach in TOUCHED, told,
                tuple(thing.seen.items()))  # fmt: skip


def _known(value: bool | None) -> str:
    return "unknown" if value is None else "yes" if value else "no"


def _breaker_facts(breaker: Breaker) -> tuple[tuple[str, str], ...]:
    protected = None if breaker.protection is None else breaker.protection != "plain"
    return (("role", breaker.role), ("protected", _known(protected)))


class _Within:
    """What is in what, found in one walk through a house."""

    def __init__(self, facts: Facts) -> None:
        house = facts.at.house
        self.facts = facts
        self.worked: set[str] = set()
        self.having: dict[str, set[str]] = {"gear": set(), "aluminum": set(), "multiwire": set(), "feeders": set(),
                                            "sources": set()}  # fmt: skip
        self.sharing = {each.shares_neutral_with for each in house.circuits} - {None}
        self.sharing |= {each.id for each in house.circuits if each.shares_neutral_with is not None}
        for breaker in house.breakers:
            self._note(facts.panel_of(breaker), breaker, breaker.role == "feeder" and "feeders",
                       breaker.role == "source" and "sources")  # fmt: skip
        for circuit in house.circuits:
            panel = facts.panel_of(facts.breaker_of(circuit))
            self._note(panel, circuit, circuit.cable.metal == "aluminum" and "aluminum",
                       circuit.id in self.sharing and "multiwire")  # fmt: skip
        self.having["gear"] |= {each.panel for each in house.gear if each.panel}
        anything = bool(self.worked) or any(tag.letter != "E" for tag in facts.at.tags.values())
        self.job = Reach.NEW if anything or facts.at.changed else Reach.EXISTING
        self.service = self._service()

    def _note(self, panel: Panel | None, thing: Thing, *having: str | bool) -> None:
        if panel is None:
            return
        if self.facts.reach_of(thing) in TOUCHED:
            self.worked.add(panel.id)
        for each in having:
            if isinstance(each, str):
                self.having[each].add(panel.id)

    def _service(self) -> Reach:
        """What the work does with the service: set by a step, or its panel or main new."""
        if "service" in self.facts.at.changed:
            return Reach.REPLACED
        house = self.facts.at.house
        panels = [each for each in house.panels if _is_service(each) == "yes"]
        mains = [each for each in house.breakers if each.role == "main"]
        reach = self.facts.reach_of(*panels, *mains)
        return Reach.REPLACED if reach in TOUCHED else Reach.EXISTING

    def job_facts(self) -> tuple[tuple[str, str], ...]:
        """Facts of the job as a whole."""
        house = self.facts.at.house
        sources = "yes" if house.sources else _none_left(house.complete.sources)
        structures = "yes" if house.structures else _none_left(house.complete.structures)
        return (("sources", sources), ("structures", structures))

    def service_facts(self) -> tuple[tuple[str, str], ...]:
        """Facts of the service."""
        service = self.facts.at.house.service
        return (("overhead", _known(service.drop.overhead)), ("outside", service.outside.present),
                ("water_pipe", service.grounding.water_pipe))  # fmt: skip

    def panel_facts(self, panel: Panel) -> tuple[tuple[str, str], ...]:
        """Facts of a panel."""
        having = ((name, "yes" if panel.id in ids else "no") for name, ids in self.having.items())
        return (("service", _is_service(panel)), ("mounting", panel.mounting or "unknown"),
                ("fuses", _known(panel.fuses)), *having)  # fmt: skip

    def circuit_facts(self, circuit: Circuit) -> tuple[tuple[str, str], ...]:
        """Facts of a circuit."""
        kinds, runs = circuit.outlet_kinds, circuit.cable.runs
        return (
            ("multiwire", "yes" if circuit.id in self.sharing else "no"), ("metal", circuit.cable.metal or "unknown"),
            ("receptacles", _known("receptacles" in kinds if kinds else None)), ("cable", _cable(circuit)),
            ("attic", _known("attic" in runs if runs else None)),
            ("underground", _known("underground" in runs if runs else None)),
        )  # fmt: skip


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
