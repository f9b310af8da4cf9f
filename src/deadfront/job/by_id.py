"""What the facts of every stage look up in their house: things by id, what hangs on what."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Outlet, Panel


class ById:
    """The house of some facts, looked up; each look-up is made once."""

    at: HouseAt

    @cached_property
    def breakers(self) -> Mapping[str, Breaker]:
        """Breakers by id."""
        return {each.id: each for each in self.at.house.breakers}

    @cached_property
    def panels(self) -> Mapping[str, Panel]:
        """Panels by id."""
        return {each.id: each for each in self.at.house.panels}

    @cached_property
    def outlets_on(self) -> Mapping[str, tuple[Outlet, ...]]:
        """Outlets by the id of their circuit."""
        found: dict[str, list[Outlet]] = {}
        for each in self.at.house.outlets:
            if each.circuit is not None:
                found.setdefault(each.circuit, []).append(each)
        return {circuit: tuple(outlets) for circuit, outlets in found.items()}

    @property
    def wye(self) -> bool | None:
        """Whether the legs are of a 208Y/120 service; None where the system is not known."""
        system = self.at.house.service.system
        return None if system is None else system.startswith("208")
