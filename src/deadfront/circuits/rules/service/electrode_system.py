"""The electrodes of the service or of a separate structure, and what may hold their conductors down in size."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.circuits.rules.facts import Facts
from deadfront.job.service_things import Electrode

EARTH_RODS = ("rod", "pipe", "plate")
CAPPED = (*EARTH_RODS, "concrete-encased", "ground ring")
OTHER = "other"
SHORTEST = {"water pipe": "water_electrode_length_ft", "concrete-encased": "concrete_electrode_length_ft",
            "ground ring": "ring_length_ft", "rod": "rod_length_ft", "pipe": "rod_length_ft"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class System:
    """Electrodes at one place.

    Args:
        electrodes: Those that are listed.
        complete: Whether these are all: True, False, or None where nobody said.
    """

    electrodes: tuple[Electrode, ...]
    complete: bool | None

    @property
    def kinds(self) -> frozenset[str]:
        """Kinds that are listed."""
        return frozenset(each.kind for each in self.electrodes)

    @property
    def rods(self) -> tuple[Electrode, ...]:
        """Rods, pipes and plates."""
        return tuple(each for each in self.electrodes if each.kind in EARTH_RODS)

    def has(self, kind: str) -> bool | None:
        """Whether there is one of a kind; None where the list is not known to be complete."""
        return True if kind in self.kinds else False if self.complete else None

    def alone(self, electrode: Electrode) -> bool | None:
        """Whether the conductor to an electrode goes on to no other kind that asks for a larger one."""
        if electrode.only_to_it is not None and (electrode.only_to_it or not self._alike(electrode)):
            return electrode.only_to_it
        return True if self._alike(electrode) and self.complete else None

    def _alike(self, electrode: Electrode) -> bool:
        """Whether every electrode listed is of a kind with the same cap."""
        same = EARTH_RODS if electrode.kind in EARTH_RODS else (electrode.kind,)
        return all(each.kind in same for each in self.electrodes)

    def cap_of_all(self) -> str | None:
        """The kind whose cap holds for the conductor to the whole system: the largest; None where one has no cap."""
        if not self.complete or not self.electrodes or not self.kinds <= set(CAPPED):
            return None
        for kind in ("ground ring", "concrete-encased"):
            if kind in self.kinds:
                return kind if len(self.kinds) == 1 or kind == "concrete-encased" else None
        return "rod"


def system_at(facts: Facts, structure: str | None) -> System:
    """The electrodes of a structure, or those of the service for None."""
    house = facts.at.house
    found = tuple(each for each in house.electrodes if each.structure == structure)
    complete = {"yes": True, "no": False}.get(house.complete.electrodes)
    return System(found, complete)


def counts(facts: Facts, electrode: Electrode) -> bool | None:
    """Whether it may stand in a system: not where it is too short in the earth; None until it is told what it is.

    Metal gas piping underground and aluminum never are electrodes (250.52(B)), so "other" alone is no pass.
    """
    if electrode.kind == OTHER:
        return None
    name = SHORTEST.get(electrode.kind)
    return name is None or electrode.length_ft is None or electrode.length_ft >= facts.number(name)


def makes_system(system: System) -> bool | None:
    """Whether something other than a water pipe is listed; None where only what is not told could be it."""
    others = system.kinds - {"water pipe"}
    return True if others - {OTHER} else None if others else False


def untold(system: System) -> tuple[Electrode, ...]:
    """Electrodes of which nobody said what they are."""
    return tuple(each for each in system.electrodes if each.kind == OTHER)


def ring_size(system: System) -> str:
    """Size of the conductor of a ground ring, if it is known."""
    return next((each.ring_size for each in system.electrodes if each.kind == "ground ring" and each.ring_size), "")
