"""The electrodes of the service or of a separate structure, and what may hold their conductors down in size."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.circuits.rules.facts import Facts
from deadfront.job.service_things import Electrode

EARTH_RODS = ("rod", "pipe", "plate")
CAPPED = (*EARTH_RODS, "concrete-encased", "ground ring")


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


def ring_size(system: System) -> str:
    """Size of the conductor of a ground ring, if it is known."""
    return next((each.ring_size for each in system.electrodes if each.kind == "ground ring" and each.ring_size), "")
