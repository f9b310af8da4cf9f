"""Whether an interlock can hold what it is said to hold: a plate joins a main and others of one enclosure."""

from __future__ import annotations

from typing import NamedTuple

from deadfront.job.house import House
from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.source_things import Transfer

SERVICE = "service"


class Reached(NamedTuple):
    """Whether an interlock reaches both handles.

    Args:
        truth: None where that is not known.
        thing: What lacks the fact that would tell.
        field: Name of that fact.
    """

    truth: bool | None
    thing: Breaker | Panel | None = None
    field: str = ""


def handles_together(house: House, transfer: Transfer) -> Reached:
    """Whether every breaker of a source that an interlock holds stands in one enclosure with the main that it holds."""
    held = [each for each in house.breakers if each.id in transfer.held_apart]
    told = [_with_main(house, each, held, SERVICE in transfer.held_apart) for each in held if each.role != "main"]
    worst = [each for each in told if each.truth is False] + [each for each in told if each.truth is None]
    return worst[0] if worst else Reached(True)


def _with_main(house: House, breaker: Breaker, held: list[Breaker], service: bool) -> Reached:
    panel = panel_in(house, breaker)
    if panel is None:
        return Reached(None, breaker, "panel")
    mains = [each for each in held if each.role == "main"]
    if any(panel_in(house, each) is panel for each in mains):
        return Reached(True)
    unplaced = next((each for each in mains if panel_in(house, each) is None), None)
    if unplaced is not None:
        return Reached(None, unplaced, "panel")
    if not service or not _at_service(house, panel):
        return Reached(False)
    own = any(each.role == "main" and panel_in(house, each) is panel for each in house.breakers)
    if own or panel.main_at not in (None, "none"):
        return Reached(True)
    return Reached(False) if panel.main_at == "none" else Reached(None, panel, "main_at")


def _at_service(house: House, panel: Panel) -> bool:
    return panel.fed_by == SERVICE or (panel.fed_by is None and len(house.panels) == 1)


def panel_in(house: House, breaker: Breaker) -> Panel | None:
    """The panel a breaker is in: the one it names, else the only one there is."""
    if breaker.panel is None and len(house.panels) == 1:
        return house.panels[0]
    return next((each for each in house.panels if each.id == breaker.panel), None)
