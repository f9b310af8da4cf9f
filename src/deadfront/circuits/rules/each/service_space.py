"""Room to work at a panel, the height of its handles, and the rooms it may not be in."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.telling import lacks, name_of, tell
from deadfront.job.panel_things import Panel
from deadfront.worksheet.check import Check, Outcome, Severity

SPACE, HEIGHT, PLACE = "service.working_space", "service.handle_height", "service.location"
IDS = (HEIGHT, PLACE, SPACE)
LEAST = {
    "working_width_in": "working_width_in", "working_depth_in": "working_depth_in", "headroom_in": "headroom_in",
}  # fmt: skip
BARRED = {"bathroom": "bathroom", "clothes closet": "closet", "over steps": "steps"}


def checks(facts: Facts) -> Iterator[Check]:
    """Every panel, with all panels' rules: service equipment or not."""
    for panel in facts.at.house.panels:
        yield from _space(facts, panel)
        yield from _height(facts, panel)
        yield from _location(facts, panel)


def _space(facts: Facts, panel: Panel) -> Iterator[Check]:
    """Width, depth and headroom, each by itself."""
    for field, value in LEAST.items():
        measured: Decimal | None = getattr(panel, field)
        least = facts.number(value)
        outcome, how = _at_least(measured, least), field.removesuffix("_in").removeprefix("working_")
        missing = lacks(facts, panel, field)
        if field == "headroom_in" and outcome is not Outcome.MEETS and facts.existing:
            small = _small_panel(facts, panel)
            if small:
                outcome, how = Outcome.NOT_APPLICABLE, "headroom_existing"
            elif small is None:
                outcome, missing = Outcome.CANNOT_TELL, (*missing, *lacks(facts, panel, "bus_a"))
        cites = (facts.book.value(value).cite,)
        yield from tell(SPACE, panel.id, outcome, facts.reach_of(panel), f"{how}_{outcome.name.lower()}",
                        name_of(facts, panel), cites=cites, remedy="room", missing=missing,
                        found=measured, least=least)  # fmt: skip


def _small_panel(facts: Facts, panel: Panel) -> bool | None:
    """Whether a panel of an existing dwelling is small enough to stand under a low ceiling."""
    return None if panel.bus_a is None else panel.bus_a <= facts.number("headroom_existing_upto_a")


def _at_least(measured: Decimal | None, least: Decimal) -> Outcome:
    if measured is None:
        return Outcome.CANNOT_TELL
    return Outcome.MEETS if measured >= least else Outcome.FAILS


def _height(facts: Facts, panel: Panel) -> Iterator[Check]:
    measured, most = panel.highest_handle_in, facts.number("handle_height_in")
    if measured is None:
        outcome = Outcome.CANNOT_TELL
    else:
        outcome = Outcome.MEETS if measured <= most else Outcome.FAILS
    yield from tell(HEIGHT, panel.id, outcome, facts.reach_of(panel), outcome.name.lower(), name_of(facts, panel),
                    cites=(facts.cite("handle_height"),), missing=lacks(facts, panel, "highest_handle_in"),
                    found=measured, most=most)  # fmt: skip


def _location(facts: Facts, panel: Panel) -> Iterator[Check]:
    reach = facts.reach_of(panel)
    if panel.location is None:
        outcome, how = Outcome.CANNOT_TELL, "open"
    elif panel.location in BARRED:
        outcome, how = Outcome.FAILS, BARRED[panel.location]
    else:
        outcome, how = Outcome.MEETS, "met"
    hazard = Severity.NOTE if reach not in TOUCHED else None
    yield from tell(PLACE, panel.id, outcome, reach, how, name_of(facts, panel), hazard=hazard,
                    cites=(facts.cite("protection_place"),), missing=lacks(facts, panel, "location"))  # fmt: skip
